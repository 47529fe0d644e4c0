"""The example of docs/why.md: what the command of the page prints."""

from __future__ import annotations

import contextlib
import io
import re
import shlex

from steadfall.cli import main
from tests.examples import ROOT

DOCUMENT = ROOT / "docs" / "why.md"
EXAMPLE = re.compile(
    r"(?<=```console\n)\$ steadfall (?P<arguments>[^\n]*)\n(?P<printed>.*?)(?=```)", re.DOTALL
)


def printed(arguments: str) -> str:
    """What a command prints, run where the repository is."""
    out = io.StringIO()
    with contextlib.chdir(ROOT), contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        assert main(shlex.split(arguments)) == 0
    return out.getvalue()


def with_example(text: str) -> str:
    """The page with every example printed anew."""
    return EXAMPLE.sub(lambda found: f"$ steadfall {found['arguments']}\n{printed(found['arguments'])}", text)
