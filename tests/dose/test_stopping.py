"""Ctrl-C while what was found is put into the plan: the plan file stays as it was, to the last byte."""

from __future__ import annotations

import signal
import sys
from pathlib import Path

import pytest

from steadfall.interrupt import STOPPED, WORDS
from tests.cli.test_stopping import HEARS, Seen, has_processes, is_ready, stopped
from tests.dose.conftest import TEXT

ROOT = str(Path(__file__).parents[2])
# The search is of another test: what it finds is made up here.
WRITES = f"""
import sys, time
sys.path.insert(0, {ROOT!r})
from pathlib import Path
from steadfall.app.dose import Dosed
from steadfall.app.plan import CoolingPlan
from tests.dose.invented import found_in
CoolingPlan.dose = lambda plan, *_, **__: Dosed(found_in(plan.plan))
"""
# Nothing is proved, and the last step takes its time.
AT_THE_LAST_STEP = """
from types import SimpleNamespace
import steadfall.app.dose
proved = SimpleNamespace(verdicts=(), proof=SimpleNamespace(stopped=False))
steadfall.app.dose.prove = lambda plan, progress: proved
def late(path, to):
    Path("ready").touch()
    time.sleep(3600.0)
Path.replace = late
"""
RUN = "sys.argv = ['steadfall', 'dose', 'plan.yaml', '--write']\nfrom steadfall.__main__ import run; run()"


@pytest.mark.skipif(sys.platform == "win32", reason="a signal is sent otherwise there")
@pytest.mark.parametrize(("more", "seen"), [("", has_processes), (AT_THE_LAST_STEP, is_ready)])
def test_the_plan_stays_as_it_was(more: str, seen: Seen, tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(TEXT, encoding="utf-8")
    words = ["-c", f"{HEARS}{WRITES}{more}{RUN}"]
    code, out, err, alive = stopped(words, seen, tmp_path, signal.SIGINT)
    assert (code, alive) == (STOPPED, [])
    assert err.endswith(f"{WORDS}\n")
    assert "Traceback" not in err
    assert "GOOD" in out
    assert (tmp_path / "plan.yaml").read_text(encoding="utf-8") == TEXT
    assert [path for path in tmp_path.iterdir() if path.name.startswith(".")] == []
