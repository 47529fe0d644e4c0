"""On how little of a network a requirement is tried first, and that it suffices."""

from __future__ import annotations

from functools import cache

import pytest

from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.abstraction import levels
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.portfolio import settle
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.solver.budget import Budget
from tests.plan.paths import ROOT

LITTLE = 400_000  # units: as much as a few steps of a small part


@cache
def of() -> Watched:
    return watched(read_file(ROOT / "tests" / "plans" / "good" / "outputs.yaml"))


def named(name: str) -> Required:
    return next(row for row in of().required if row.name == name)


@pytest.mark.parametrize(
    ("name", "free"),
    [
        ("horn.as_told", ["unacknowledged"]),
        ("trip_lamp.as_told", ["trip.steam_back_pressure"]),
        ("pump.as_told", ["running"]),
        ("alarm.first_out", [f"alarm.{one}.active" for one in ("air_pressure_low", "outlet_hot")]),
    ],
)
def test_what_is_shown_is_tried_with_what_it_shows_set_free(name: str, free: list[str]) -> None:
    row = named(name)
    first = levels(of(), row, row.bad)[0]
    assert set(free) <= set(first.freed)
    found = settle(of(), row, row.bad, Ask(), Budget(LITTLE))
    assert isinstance(found, tuple), found
    assert found[1].freed == first.freed


def test_a_level_that_frees_nothing_comes_last() -> None:
    for row in of().required:
        assert [bool(one.freed) for one in levels(of(), row, row.bad)][:-1].count(False) == 0
