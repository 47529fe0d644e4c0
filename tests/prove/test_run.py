"""What is proved of a plan: the requirements that are asked for; what is said when a solver process dies."""

from __future__ import annotations

import os

import pytest

from steadfall.plan.read.whole import read_file
from steadfall.prove.decide import processes
from steadfall.prove.whole import run
from steadfall.source import OutsideError
from tests.examples import EXAMPLES


def die(*_: object) -> None:
    """Ends the process in which it is called."""
    os._exit(1)


def test_a_solver_process_that_ends_by_itself_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "_do", die)
    with pytest.raises(OutsideError, match="ended by itself"):
        run.prove(read_file(EXAMPLES["press"]), ["stated"])


@pytest.mark.parametrize(
    ("name", "word", "meant"),
    [
        ("stated.1", "stated.1", True),
        ("stated.10", "stated.1", False),
        ("stated.10", "stated", True),
        ("upper.mist.shortest_open", "upper.mist", True),
        ("upper.mist.shortest_open", "mist", True),
        ("upper.misting.shortest_open", "upper.mist", False),
        ("upper.mist.shortest_open", "mist.shortest", False),
    ],
)
def test_only_names_whole_parts_of_a_requirement(name: str, word: str, meant: bool) -> None:
    assert run.named(name, word) is meant
