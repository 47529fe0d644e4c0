"""What the proof says when a solver process dies."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from steadfall.plan.read.whole import read_file
from steadfall.prove.decide import processes
from steadfall.prove.whole import run
from steadfall.source import OutsideError
from tests.examples import EXAMPLES


def die(_path: Path) -> None:
    """Ends the process in which it is called."""
    os._exit(1)


def test_a_solver_process_that_ends_by_itself_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "_begin", die)
    with pytest.raises(OutsideError, match="ended by itself"):
        run.prove(read_file(EXAMPLES["press"]), ["stated"])
