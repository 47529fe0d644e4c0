"""What a controller works with is what its sensors hand over, by the two ends of their range."""

from __future__ import annotations

from functools import lru_cache

import pytest
from attrs import evolve

from steadfall.logic.build.readings import as_handed
from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.prove.requirements.whole import watched
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD
from tests.prove.numbers import DOWN, UP, numbers, with_moved

MOVED = (
    ("upper.outlet_temperature.value", ("raw_low", "per_raw")),  # from 4 mA on
    ("lower.outlet_temperature.value", ("per_raw", "instead")),  # counts, and 180 degC for a broken wire
    ("upper.water_flow.unfiltered", ("raw_low", "per_raw", "cut_off")),  # by the root
)


@lru_cache
def _plan() -> Plan:
    return read_file(next(path for path in GOOD if path.stem == "bad_sensors"))


def _broken(network: Network, signal: str) -> bool:
    """Whether the requirement is broken for some value that the sensor hands over, a broken wire among
    them.
    """
    name = signal.rpartition(".")[0]
    item = _plan().inputs[name]
    of = watched(_plan(), network)
    (row,) = (row for row in of.required if row.name == f"{signal}.as_measured")
    cut = as_handed(item, item.cut_off or item.low)
    high, low = as_handed(item, item.high), as_handed(item, item.good[0]) - 1.0
    scanner, found = Scanner(cone(of.network, [row.bad])), False
    for value in (cut * 0.995, cut * 1.005, (cut + high) / 2, high, low):
        scanner.scan(20, {name: value})
        found |= bool(scanner.values[row.bad])
    return found


@pytest.mark.parametrize(("signal", "labels"), MOVED)
def test_a_moved_number_of_a_reading_breaks_what_is_required_of_it(
    signal: str, labels: tuple[str, ...]
) -> None:
    right, name = build(_plan()), signal.rpartition(".")[0]
    assert not _broken(right, signal)
    found = [one for one in numbers(right) if one.signal == signal and one.moved(20)]
    assert {one.label for one in found} >= {f"{name}.{label}" for label in labels}
    for one in found:
        for move in (UP, DOWN):
            assert _broken(with_moved(right, one, one.moved(20)[move]), signal), one


def test_a_sensor_worked_with_as_it_is_has_no_such_requirement() -> None:
    plain = evolve(_plan().inputs["upper.outlet_temperature"], raw=None)
    plan = evolve(_plan(), inputs={**_plan().inputs, plain.name: plain})
    names = {row.name for row in watched(plan).required}
    assert "upper.outlet_temperature.value.as_measured" not in names
    assert "lower.outlet_temperature.value.as_measured" in names
