"""A filtered value is what a filter of the plan's time makes of a reading, in each scan of any controller."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import attrs
import pytest

from steadfall.logic import nodes
from steadfall.logic.build.whole import build
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Node
from steadfall.logic.types import rebuilt
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.prove.decide.result import PROVED, REFUTED, Verdict
from steadfall.prove.requirements.faults import Faults
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.run import prove
from tests.plan.paths import GOOD
from tests.prove.numbers import numbers, with_moved

PLAN = read_file(next(path for path in GOOD if path.stem == "bad_sensors"))
PRESSURE, FLOW = "upper.pressure", "upper.water_flow"
TIMES = {PRESSURE: 2000, FLOW: 1000}  # ms, as the plan has them
SCAN = 20

FORMS: Mapping[str, tuple[str, str]] = {
    "a sensor as it is, and a root": ("", ""),
    "a value stands in": (
        "filter: 2 s, when_bad: trip, reset: reset_button",
        "filter: 2 s, when_bad: go on with 3 barg",
    ),
    "milliamperes": ("0 .. 16 barg, filter", "0 .. 16 barg, raw: 4 .. 20 mA, filter"),
    "milliamperes, and a value stands in": (
        "0 .. 16 barg, filter: 2 s, when_bad: trip, reset: reset_button",
        "0 .. 16 barg, raw: 4 .. 20 mA, filter: 2 s, when_bad: go on with 3 barg",
    ),
    "a root, and a value stands in": ("filter: 1 s", "filter: 1 s, when_bad: go on with 30 kg/min"),
}


def _name(sensor: str) -> str:
    return f"{sensor}.value.as_filtered"


def _verdict(sensor: str, network: Network, plan: Plan = PLAN) -> Verdict:
    (found,) = prove(plan, [_name(sensor)], network=network, workers=1).verdicts
    return found


@pytest.mark.parametrize("cuts", [False, True])
@pytest.mark.parametrize("form", FORMS)
def test_it_is_proved_of_every_filter_and_checked(form: str, cuts: bool) -> None:
    old, new = FORMS[form]
    assert old in PLAN.text
    plan = read_text(PLAN.text.replace(old, new)) if old else PLAN
    names = [_name(sensor) for sensor in TIMES]
    found = prove(plan, names, faults=Faults(power_cut=cuts), workers=1).verdicts
    shown = {one.required.name: (one.verdict, one.rechecked) for one in found}
    assert shown == dict.fromkeys(names, (PROVED, True))


def test_its_sentence_says_the_time_and_what_a_power_cut_does() -> None:
    of = watched(PLAN, faults=Faults(power_cut=True))
    (row,) = (row for row in of.required if row.name == _name(PRESSURE))
    assert " 2 s," in row.sentence
    assert "begins anew with that value at power-up" in row.sentence
    assert not row.sentence.endswith("unless power is cut.")


@pytest.mark.parametrize("sensor", TIMES)
@pytest.mark.parametrize("move", ["+1 %", "-1 %", "a scan more", "a scan less"])
def test_another_time_is_refuted(sensor: str, move: str) -> None:
    time, right = TIMES[sensor], build(PLAN)
    to = {"+1 %": time * 1.01, "-1 %": time * 0.99, "a scan more": time + SCAN, "a scan less": time - SCAN}
    (one,) = (one for one in numbers(right) if one.label == f"{sensor}.filter_per_ms")
    assert one.value == 1.0 / time
    assert _verdict(sensor, with_moved(right, one, 1.0 / to[move])).verdict == REFUTED


def _put(change: Callable[[Node], Node]) -> Callable[[Assignment], Assignment]:
    """A row with some of its parts put otherwise."""

    def through(node: Node) -> Node:
        return rebuilt(change(node), through)

    return lambda row: attrs.evolve(row, node=through(row.node))


def _away(node: Node) -> Node:
    """A step away from the reading."""
    return nodes.Subtract(node.left, node.right) if isinstance(node, nodes.Add) else node


def _always(row: Assignment) -> Assignment:
    """It goes on from what a broken wire showed."""
    assert isinstance(row.node, nodes.Select)
    return attrs.evolve(row, node=row.node.then)


def _never(row: Assignment) -> Assignment:
    """No filter at all."""
    assert isinstance(row.node, nodes.Select)
    return attrs.evolve(row, node=row.node.otherwise)


FAULTS: Mapping[str, Callable[[Assignment], Assignment]] = {
    "a step away from the reading": _put(_away),
    "what a broken wire showed is remembered": _always,
    "no filter": _never,
}


def _with(network: Network, name: str, change: Callable[[Assignment], Assignment]) -> Network:
    rows = [change(row) if row.name == name else row for row in network.assignments]
    assert rows != list(network.assignments)
    return attrs.evolve(network, assignments=tuple(rows))


@pytest.mark.parametrize("sensor", TIMES)
@pytest.mark.parametrize("fault", FAULTS)
def test_another_filter_is_refuted(sensor: str, fault: str) -> None:
    wrong = _with(build(PLAN), f"{sensor}.value", FAULTS[fault])
    assert _verdict(sensor, wrong).verdict == REFUTED


def test_a_filter_that_begins_with_a_value_of_its_own_is_refuted() -> None:
    """A network that begins as with 1 barg goes on from there at power-up."""
    wrong = _with(build(PLAN), f"{PRESSURE}.value", lambda row: attrs.evolve(row, initial=1.0))
    assert _verdict(PRESSURE, wrong).verdict == REFUTED


def _stopping(row: Assignment) -> Assignment:
    """A clock that stops at 10 ms: a longer scan counts as that."""
    assert isinstance(row.node, nodes.Since)
    return attrs.evolve(row, node=attrs.evolve(row.node, limit_ms=10))


def test_a_filter_that_counts_the_scan_otherwise_is_refuted() -> None:
    assert _verdict(PRESSURE, _with(build(PLAN), "scan_time", _stopping)).verdict == REFUTED


def test_a_sensor_without_a_filter_has_no_such_requirement() -> None:
    plan = read_text(PLAN.text.replace(", filter: 2 s", ""))
    names = {row.name for row in watched(plan).required}
    assert _name(FLOW) in names
    assert _name(PRESSURE) not in names
