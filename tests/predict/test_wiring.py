"""Sensors: lag, unit, ends of the range, switches; and what a person sets."""

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pytest

from steadfall.plan.meaning.handed import handed_by
from steadfall.plan.model import Changes, Input, Raw
from steadfall.predict.wiring import SET, Wiring, read_sensors
from tests.examples import plain

EMPTY: dict[str, Any] = {name: np.zeros(0, dtype=np.int64) for name in Wiring._fields}


def sensor(found: Input, factor: float = 1.0, offset: float = 0.0) -> Wiring:
    """One sensor on the first observed quantity, writing the first register of its kind."""
    parts: dict[str, list[Any]] = {
        "sensor_of": [0],
        "sensor_register": [0],
        "sensor_switch": [0 if found.kind != "switch" else found.changes.sign if found.changes else 1],
        "sensor_on": [found.changes.value if found.changes else 0.5],
        "sensor_off": [found.changes.off_at if found.changes else 0.5],
        "sensor_closed": [int(found.normal)],
        "sensor_low": [found.speaks[0]],
        "sensor_high": [found.speaks[1]],
        "sensor_factor": [factor],
        "sensor_offset": [offset],
        "sensor_top": [0.0],
        "sensor_counts": [0],
        "sensor_lag": [found.lag],
        "sensor_drift": [0.0],
        "sensor_value": [math.nan],
        "sensor_away": [0.0],
        "given": [0.0],
    }
    whole = ("sensor_of", "sensor_register", "sensor_switch", "sensor_closed", "sensor_counts")
    arrays = {
        name: np.array(value, np.int64 if name in whole else np.float64) for name, value in parts.items()
    }
    return Wiring(**{**EMPTY, **arrays})


def readings(
    found: Input, course: Iterable[float], function: Callable[..., None] = read_sensors, offset: float = 0.0
) -> list[float | bool]:
    out: list[float | bool]
    wired, ints, reals, out = sensor(found, offset=offset), np.zeros(1, np.int64), np.zeros(1), []
    for value in course:
        function(wired, np.array([value], dtype=float), ints, reals, 0.02)
        out.append(float(reals[0]) if found.kind != "switch" else bool(ints[0]))
    return out


PLATEN = Input("t", "temperature", "x", low=273.15, high=523.15, unit="degC", lag=5.0)


def test_a_lag_follows_a_step_as_a_first_order_system_does() -> None:
    """One time constant after a step a first-order lag has gone 1 - 1/e = 63.2 % of the way (any control
    textbook).
    """
    course = [373.15] + [473.15] * 250
    found = readings(PLATEN, course, offset=273.15)
    assert found[0] == pytest.approx(100.0)
    assert found[-1] == pytest.approx(100.0 + 100.0 * (1 - math.exp(-1)), rel=1e-9)


def test_the_controller_sees_degrees_celsius_and_no_more_than_the_sensor_can_say() -> None:
    quick = Input("t", "temperature", "x", low=273.15, high=523.15, unit="degC")
    found = readings(quick, [373.15, 900.0, 0.0], offset=273.15)
    assert found == pytest.approx([100.0, 250.0 + 0.0625 * 250, -0.025 * 250])


def test_an_end_of_the_range_is_a_good_reading_and_a_broken_wire_is_not() -> None:
    low, high = PLATEN.good
    assert low < PLATEN.low < PLATEN.high < high
    assert PLATEN.speaks[0] < low
    assert high < PLATEN.speaks[1]


def test_a_switch_is_true_from_half() -> None:
    switch = Input("s", "switch", "x")
    assert readings(switch, [0.0, 1.0, 0.49, 0.5]) == [False, True, False, True]


@pytest.mark.parametrize("bound", ["above", "below"])
def test_a_switch_that_measures_changes_at_its_value_and_back_behind_its_hysteresis(bound: str) -> None:
    there = 1.0 if bound == "above" else -1.0
    switch = Input("s", "switch", "x", changes=Changes(bound, 300.0, 3.0))
    course = [300.0 + there * by for by in (-10.0, -0.1, 0.0, -2.9, -3.0, -3.1, -0.1)]
    found = readings(switch, course)
    assert found == [False, False, True, True, True, False, False]
    assert readings(switch, course, function=plain(read_sensors)) == found


def test_within_its_hysteresis_a_switch_begins_as_it_normally_is() -> None:
    for normal in (False, True):
        switch = Input("s", "switch", "x", normal=normal, changes=Changes("above", 300.0, 3.0))
        assert readings(switch, [298.0]) == [normal]


def test_a_switch_that_measures_can_stick_and_comes_free() -> None:
    wired = sensor(Input("s", "switch", "x", changes=Changes("above", 300.0, 3.0)))
    ints, reals, seen_at = np.zeros(1, np.int64), np.zeros(1), []
    for low, high in ((1.0, 1.0), (0.0, 1.0), (0.0, 0.0)):
        wired.sensor_low[0], wired.sensor_high[0] = low, high
        for value in (290.0, 310.0):
            read_sensors(wired, np.array([value]), ints, reals, 0.02)
            seen_at.append(int(ints[0]))
    assert seen_at == [1, 1, 0, 1, 0, 0]


def test_what_a_person_sets_is_seen_in_the_unit_of_its_range() -> None:
    wired = sensor(PLATEN, offset=273.15)._replace(sensor_of=np.array([SET]), given=np.array([373.15]))
    reals = np.zeros(1)
    read_sensors(wired, np.zeros(0), np.zeros(1, np.int64), reals, 0.02)
    assert reals[0] == pytest.approx(100.0)  # at once: its lag is that of a sensor


def test_a_sensor_drifts_away_from_what_it_measures() -> None:
    wired = sensor(PLATEN)._replace(sensor_drift=np.array([0.5]))
    reals = np.zeros(1)
    for _ in range(100):
        read_sensors(wired, np.array([400.0]), np.zeros(1, np.int64), reals, 0.02)
    assert reals[0] == pytest.approx(400.0 + 0.5 * 100 * 0.02)


def test_uncompiled_is_the_same() -> None:
    course = 400.0 + 50 * np.sin(np.arange(30))
    assert readings(PLATEN, course) == readings(PLATEN, course, function=plain(read_sensors))


def test_counts_are_handed_over_whole_and_a_root_by_its_pressure_drop() -> None:
    """Half the flow is a quarter of the pressure drop, a quarter of the counts (Bernoulli); by hand."""
    flow = Input("f", "mass_flow", "x", low=0.0, high=2.0, unit="kg/s", raw=Raw(0, 1001), cut_off=0.1)
    how = handed_by(flow)
    wired, reals = sensor(flow, how.factor, how.offset), np.zeros(1)
    wired.sensor_top[0], wired.sensor_counts[0] = how.top, 1
    found = []
    for value in (2.0, 1.0, 0.0, -9.0):
        read_sensors(wired, np.array([value]), np.zeros(1, np.int64), reals, 0.02)
        found.append(reals[0])
    assert found == [1001.0, 250.0, 0.0, -25.0]  # the last: as far as a sensor speaks below its range
    assert how.si(np.array([1001.0, 250.25, 0.0, -250.25])) == pytest.approx([2.0, 1.0, 0.0, -1.0])
