"""The tables of docs/logic.md are what the logic does."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.logic.build.stages import state_names
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Constant, Read, Ton, Type
from steadfall.scan.interpreter import Scanner
from tests.logic.plans import circuit_type, dose, plan
from tests.logic.running import run
from tests.logic.test_doses import dosing

TEXT = (Path(__file__).parents[2] / "docs" / "logic.md").read_text()
FULL = {"full_call": True}


def tables(heading: str) -> list[list[list[str]]]:
    """The body rows of every table under a heading."""
    section = TEXT.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    blocks = [block.splitlines() for block in section.split("\n\n")]
    return [
        [[cell.strip() for cell in line.strip("|").split("|")] for line in block[2:]]
        for block in blocks
        if block[0].startswith("|")
    ]


def test_the_table_of_stages() -> None:
    names = state_names(circuit_type())
    seen = run(plan(), 380, {0: FULL, 200: {"full_call": False}, 250: FULL}).changes("upper.stage")
    assert [[str(t), names[int(value)]] for t, value in seen] == tables("Stages")[1]


@pytest.mark.parametrize(("place", "clock"), [(0, "restart"), (1, "free")])
def test_the_tables_of_doses(place: int, clock: str) -> None:
    for scan, opens, period in tables("Doses")[place]:
        seen = run(plan(dosing(dose(30, 70, clock))), int(scan) * 40, {0: FULL}, dt=int(scan)).openings(
            "upper.mist"
        )
        assert seen[1][1] - seen[1][0] == int(opens)
        assert seen[1][0] - seen[0][0] == int(period)


def test_the_table_of_the_on_delay_timer() -> None:
    rows = {row[0]: [int(cell) for cell in row[1:]] for row in tables("Timers")[0]}
    node = Ton(Read("in", Type.BOOL), Constant(30, Type.TIME))
    timer = Scanner(Network((Input("in", Type.BOOL),), (Assignment("q", Type.BOOL, node, False),), ()))
    seen = [timer.scan(10, {"in": bool(value)}) for value in rows["IN"]]
    assert [row["q.ET"] for row in seen] == rows["ET"]
    assert [int(row["q"]) for row in seen] == rows["Q"]
