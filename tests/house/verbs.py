"""A verb run as a person runs it, inside the test's own process: exit code, what was printed and said."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.cli import main


@frozen
class Ran:
    """What a command line gave."""

    code: int
    out: str
    err: str

    def json(self) -> Any:
        """What was printed, as data."""
        assert self.out, self.err
        return json.loads(self.out)


def run(*words: str | Path) -> Ran:
    """Run a command line; a failure that is not foreseen is raised as it is."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(word) for word in words])
    return Ran(code, out.getvalue(), err.getvalue())
