"""What a verb loads: nothing of what only other verbs need, so that it answers at once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.examples import EXAMPLES

PRESS = str(EXAMPLES["press"])
SEARCHES = {"pymoo", "z3", "cvc5", "distributed"}
PAPERS = {"jinja2", "lark", "openpyxl", "pandas", "pyarrow", "nicegui", "asyncua", "pymodbus"}
RUNS = {"numba", "fluids"}
# verb -> what it leaves alone
ALONE = {
    ("--help",): SEARCHES | PAPERS | RUNS | {"numpy", "yaml", "rich"},
    ("check", PRESS): SEARCHES | PAPERS | RUNS | {"numpy", "rich"},
    ("emit", PRESS, "--out", "code"): SEARCHES | RUNS | PAPERS - {"openpyxl"} | {"numpy", "PIL"},
    ("size", PRESS): SEARCHES | PAPERS | {"scipy.linalg", "scipy.stats", "cffi"},
}
CODE = """
import sys
from steadfall.__main__ import run
try:
    run()
finally:
    print(*sorted(sys.modules), sep="\\n", file=sys.stderr)
"""


@pytest.mark.parametrize("words", ALONE, ids=lambda words: words[0])
def test_a_verb_loads_what_it_needs(words: tuple[str, ...], tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CODE, *words], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stderr.splitlines())
    assert "click" in loaded
    assert sorted(loaded & ALONE[words]) == []
