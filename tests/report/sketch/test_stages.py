"""The stages of any plan as a table: a good drawing, to scale, each cell with its line of the plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.plan.model import CircuitType, Dose, FinishStep, Stage
from steadfall.plan.read.whole import read_file
from steadfall.report.sketch.parts import Area, Part, Sketch, Sort
from steadfall.report.sketch.stages import columns, stage_table
from tests.plan.paths import EXAMPLES, GOOD
from tests.report.sketch.faults import faults

FILES = {path.stem: path for path in (*GOOD, *EXAMPLES)}
EVERY = pytest.mark.parametrize("path", FILES.values(), ids=lambda path: path.stem)


def in_column(sketch: Sketch, kind: CircuitType, valve: str, step: str) -> Part:
    """The cell of a valve in a state."""
    column = next(one for one in columns(kind) if one.name == step)
    return next(
        part
        for part in sketch.parts
        if part.of == f"{kind.name}.{valve}" and part.areas and part.areas[0].box.left == column.left
    )


def openings(part: Part) -> list[Area]:
    return [area for area in part.areas if area.sort is Sort.OPEN]


@EVERY
def test_is_a_good_drawing_with_every_valve_in_every_stage(path: Path) -> None:
    plan = read_file(path)
    sketch = stage_table(plan)
    assert faults(sketch) == []
    lines = len(plan.text.splitlines())
    assert all(1 <= part.line <= lines for part in sketch.parts)
    for name in {one.type for one in plan.circuits.values()}:
        kind = plan.circuit_types[name]
        for valve in kind.valves:
            steps: tuple[Stage | FinishStep, ...] = (*kind.stages, *kind.finish)
            for step in steps:
                cell = in_column(sketch, kind, valve, step.name)
                assert bool(openings(cell)) == (valve in step.actions and _opens(cell)), cell.words
                assert cell.line >= step.at.own.line


def _opens(cell: Part) -> bool:
    return all(area.sort is not Sort.ANY for area in cell.areas)


def test_a_dose_is_drawn_to_scale() -> None:
    plan = read_file(FILES["press"])
    kind, sketch = plan.circuit_types["platen_circuit"], stage_table(plan)
    for stage in kind.stages:
        for valve, action in stage.actions.items():
            if isinstance(action, Dose):
                first, second = openings(in_column(sketch, kind, valve, stage.name))
                wide, period = first.box.right - first.box.left, second.box.left - first.box.left
                assert wide / period == pytest.approx(action.open_ms / (action.open_ms + action.shut_ms))


def test_two_schemes_of_one_stage_stand_side_by_side() -> None:
    plan = read_file(FILES["dose_then"])
    kind, sketch = plan.circuit_types["platen_circuit"], stage_table(plan)
    shown = {
        step: [area.sort for area in in_column(sketch, kind, "mist", step).areas]
        for step in ("wetting", "resting")
    }
    assert shown == {
        "wetting": [Sort.SHUT, Sort.OPEN, Sort.OPEN],  # a dose, then open
        "resting": [Sort.SHUT, Sort.OPEN, Sort.SHUT],  # a dose, then shut
    }


def test_a_share_hangs_on_its_signal() -> None:
    plan = read_file(FILES["barrel"])
    cell = in_column(stage_table(plan), plan.circuit_types["zone_circuit"], "mist", "shares")
    assert [area.sort for area in cell.areas] == [Sort.ANY]
    assert "zone_ramp" in cell.words


def test_what_ends_a_stage_stands_under_it() -> None:
    plan = read_file(FILES["press"])
    ends = {part.of: part for part in stage_table(plan).parts if " ends: " in part.words}
    kind = plan.circuit_types["platen_circuit"]
    assert set(ends) == {f"{kind.name}.{step}" for step in kind.step_names if step != "full"}
    assert "platen_temperature < 140 degC" in ends["platen_circuit.first_doses"].words
