"""Runs taken apart, joined, stored and read again are the same runs."""

from __future__ import annotations

import json
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic.nodes import Type, Value
from steadfall.runs.json import from_json, steps_json
from steadfall.runs.run import Run, Step, run_of, turns
from tests.runs.made import listed, made


@st.composite
def steps(draw: st.DrawFn) -> list[Step]:
    """Scans of a switch, a count and a measured value, and power cuts among them."""
    luck = random.Random(draw(st.integers(0, 2**32)))
    found: list[Step] = []
    for _ in range(draw(st.integers(0, 30))):
        values: dict[str, Value] = {
            "on": luck.random() < 0.5,
            "count": luck.randrange(5),
            "level": luck.random(),
        }
        given = {name: value for name, value in values.items() if luck.random() < 0.3}
        found.append(
            Step(luck.randrange(40), given) if luck.random() < 0.9 else Step(0, {}, luck.randrange(500))
        )
    return found


def same(one: Run, two: Run) -> None:
    assert list(one.steps()) == list(two.steps())
    assert one.times_ms.tolist() == two.times_ms.tolist()
    kinds = [
        {name: [type(value) for _, value in row.pairs()] for name, row in run.inputs.items()}
        for run in (one, two)
    ]
    assert kinds[0] == kinds[1]


@settings(deadline=None)
@given(steps())
def test_a_run_is_its_steps(rows: list[Step]) -> None:
    assert list(run_of(rows).steps()) == rows


@settings(deadline=None)
@given(steps())
def test_stored_and_read_again(rows: list[Step]) -> None:
    run = run_of(rows)
    same(from_json(json.loads(json.dumps(steps_json(run)))), run)


@settings(deadline=None)
@given(steps(), st.integers(0, 30))
def test_two_parts_joined_are_the_whole(rows: list[Step], at: int) -> None:
    run, place = run_of(rows), min(at, len(rows))
    joined = run.part(0, place).then(run.part(place))
    assert joined.times_ms.tolist() == run.times_ms.tolist() or not place
    for name, row in run.inputs.items():
        assert joined.inputs[name].changes().pairs() == row.changes().pairs()


def test_a_part_begins_with_every_input_as_it_stands() -> None:
    run = made([(0, {"on": True, "level": 3.0}), (20, {"on": False}), (20, {}), (30, {"level": 4.0})])
    later = run.part(2)
    assert listed(later) == [(20, {"on": False, "level": 3.0}), (30, {"level": 4.0})]
    assert later.times_ms.tolist() == [40, 70]
    assert later.end_ms == run.end_ms == 70


def test_moments_go_over_a_power_cut() -> None:
    run = run_of([Step(5, {"on": True}), Step(20), Step(0, {}, 300), Step(40)])
    assert run.times_ms.tolist() == [0, 20, 320, 360]
    assert listed(run.part(3)) == [(40, {"on": True})]
    assert run.part(3).begin_ms == 360
    assert dict(run.part(1).cuts) == {1: 300}


def test_scans_without_a_change_are_counted() -> None:
    run = run_of([Step(0, {"on": True}), Step(20), Step(20), Step(40), Step(0, {}, 300)])
    assert steps_json(run) == [
        {"at_ms": 0, "scan_ms": 0, "scans": 1, "inputs": {"on": True}},
        {"at_ms": 20, "scan_ms": 20, "scans": 2, "inputs": {}, "then": [[40, 1]]},
        {"at_ms": 380, "scan_ms": 0, "scans": 1, "inputs": {}, "off_ms": 300},
    ]


def test_a_row_is_a_change_and_not_a_scan_of_another_length() -> None:
    run = run_of([Step(0, {"on": True}), *(Step(1 + at % 7) for at in range(1000)), Step(3, {"on": False})])
    assert len(steps_json(run)) == 3


@pytest.mark.parametrize("value", [True, 300, 1.5], ids=str)
@pytest.mark.parametrize("name", ["power_cut", "off_ms"])
def test_an_input_called_as_a_power_cut_is_none(name: str, value: Value) -> None:
    run = made([(0, {name: value}), (20, {})])
    again = from_json(steps_json(run))
    same(again, run)
    assert not again.cuts


def test_a_run_with_power_cuts_is_read_as_it_was() -> None:
    run = run_of([Step(0, {"on": True}), Step(20), Step(0, {}, 300), Step(0), Step(40), Step(0, {}, 20)])
    same(from_json(steps_json(run)), run)


@pytest.mark.parametrize(
    ("kind", "values"), [(Type.BOOL, [True, False]), (Type.REAL, [1.0, 0.0]), (Type.INT, [1, 0])]
)
def test_turns_come_in_order_and_the_later_of_two_counts(kind: Type, values: list[Value]) -> None:
    found = turns([(7, 0.0), (2, 5.0), (2, 1.0)], kind).pairs()
    assert found == [(2, values[0]), (7, values[1])]
    assert [type(value) for _, value in found] == [type(value) for value in values]


def test_what_is_said_twice_is_said_once() -> None:
    run = made([(0, {"on": True}), (20, {"on": True}), (20, {"on": False}), (20, {"on": False})])
    assert listed(run.changes()) == [(0, {"on": True}), (20, {}), (20, {"on": False}), (20, {})]
    assert listed(run.renamed(str.upper))[2] == (20, {"ON": False})
    assert "on" not in run.giving("on", None).inputs
