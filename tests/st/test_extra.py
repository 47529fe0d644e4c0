"""What an optional package is needed for is a sentence where it is missing, and nothing else needs it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.examples import EXAMPLES

BLOCKED = """
import sys
sys.modules[{package!r}] = None  # as where it is not installed
from steadfall.cli import main
raise SystemExit(main({args!r}))
"""


def without(package: str, args: Sequence[str]) -> subprocess.CompletedProcess[str]:
    code = BLOCKED.format(package=package, args=list(args))
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    ("package", "args", "sentence"),
    [
        ("lark", ["compare", "PLAN", "TEXT"], "this needs lark"),
        ("openpyxl", ["emit", "PLAN", "--out", "OUT"], "this needs openpyxl"),
    ],
)
def test_a_missing_extra_is_a_sentence(package: str, args: list[str], sentence: str, tmp_path: Path) -> None:
    text, out = tmp_path / "program.st", tmp_path / "out"
    text.write_text("PROGRAM P\nEND_PROGRAM\n", encoding="utf-8")
    given = {"PLAN": str(EXAMPLES["press"]), "TEXT": str(text), "OUT": str(out)}
    done = without(package, [given.get(word, word) for word in args])
    assert done.returncode == 3, done.stderr
    assert sentence in done.stderr
    assert "pip install 'steadfall[code]'" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("package", ["lark", "openpyxl"])
def test_a_check_needs_no_extra(package: str) -> None:
    done = without(package, ["check", str(EXAMPLES["press"])])
    assert done.returncode == 0, done.stderr
