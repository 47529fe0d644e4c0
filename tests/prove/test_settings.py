"""What a controller works with is what the panel shows, within the ends that the plan gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path

import pytest
from attrs import evolve

from steadfall.logic import nodes
from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.forms import FALSE, TRUE
from steadfall.logic.network import ZERO, Network
from steadfall.logic.nodes import Node, Value
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from steadfall.scan.interpreter import Scanner
from tests.prove.numbers import DOWN, UP, numbers, with_moved

SETTINGS = Path(__file__).parents[1] / "plans" / "good" / "settings.yaml"
DOSE, LEVEL = "first_dose", "cool_enough"
Scans = Sequence[Mapping[str, Value]]  # what is not as usual in them


@lru_cache
def _plan() -> Plan:
    return read_file(SETTINGS)


def _broken(network: Network, setting: str, scans: Scans) -> bool:
    """Whether the requirement on a setting is broken in some scans."""
    of = watched(_plan(), network)
    (row,) = (row for row in of.required if row.name == f"{setting}.in_use.as_set")
    part = cone(of.network, [row.bad])
    usual = {one.name: ZERO[one.type] if one.first is None else one.first for one in part.inputs}
    run, found = Scanner(part), False
    for given in scans:
        run.scan(20, {name: given.get(name, value) for name, value in usual.items()})
        found |= bool(run.values[row.bad])
    return found


def _replaced(network: Network, signal: str, node: Node) -> Network:
    rows = tuple(evolve(row, node=node) if row.name == signal else row for row in network.assignments)
    return evolve(network, assignments=rows)


ENDS: dict[tuple[str, str], tuple[Value, ...]] = {  # what the panel shows, far from an end and near it
    (DOSE, "least"): (0, 398, 402),
    (DOSE, "most"): (5000, 1592, 1608),
    (LEVEL, "least"): (0.0, 99.5, 100.5),
    (LEVEL, "most"): (500.0, 139.5, 140.5),
}


@pytest.mark.parametrize(("setting", "end"), ENDS)
def test_another_end_breaks_what_the_panel_may_set(setting: str, end: str) -> None:
    """Each end stands twice, where it is compared and where it is taken."""
    right, shown = build(_plan()), [[{setting: value}] for value in ENDS[setting, end]]
    moved = [one for one in numbers(right) if one.label == f"{setting}.{end}"]
    assert len(moved) == 2
    for number in moved:
        for to in (number.moved(20)[UP], number.moved(20)[DOWN]):
            assert any(_broken(with_moved(right, number, to), setting, scans) for scans in shown)
    assert not any(_broken(right, setting, scans) for scans in shown)


def test_a_time_that_changes_in_mid_course_breaks_it() -> None:
    right = build(_plan())
    call: dict[str, Value] = {"full_call": True, "air_pressure_ok": True}
    scans = [call, call, {**call, DOSE: 500}]
    assert _broken(_replaced(right, "may_set", TRUE), DOSE, scans)
    assert not _broken(right, DOSE, scans)


def test_what_is_not_taken_over_breaks_it() -> None:
    right, shown = build(_plan()), nodes.Read(LEVEL, nodes.Type.REAL)
    assert _broken(_replaced(right, "may_set", FALSE), DOSE, [{DOSE: 500}])
    assert _broken(_replaced(right, f"{LEVEL}.in_use", shown), LEVEL, [{LEVEL: 500.0}])
