"""Alarms from their condition to the acknowledgement, and outputs by condition, scan by scan."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.scan.interpreter import Scanner
from tests.plan.test_good import good

AIR, HOT, TRIP = "alarm.air_pressure_low", "alarm.outlet_hot", "alarm.steam_back_pressure"
CALM: dict[str, Value] = {"air_pressure_ok": True, "upper.pressure": 1.0, "upper.outlet_temperature": 100.0}
BUTTON, TRIPPING = "acknowledge_button", {"upper.pressure": 8.0}
SCAN = 20


@cache
def network() -> Network:
    return build(plan())


@cache
def plan() -> Plan:
    return good("outputs")


class Bench:
    """A controller that is run for a time with some inputs; they stay as they are until others are given."""

    def __init__(self) -> None:
        self.scanner = Scanner(network())
        self.now: dict[str, Value] = {}
        self.run(0, CALM)

    def run(self, ms: int, given: Mapping[str, Value] = {}) -> list[Mapping[str, Value]]:
        """What is so in each scan."""
        rows = [self.scanner.scan(SCAN, given)]
        rows += [self.scanner.scan(SCAN, {}) for _ in range(ms // SCAN - 1)]
        self.now = dict(rows[-1])
        return [dict(row) for row in rows]

    def press(self) -> None:
        """The button, and let go."""
        self.run(SCAN, {BUTTON: True})
        self.run(SCAN, {BUTTON: False})


def test_an_alarm_stands_until_it_is_gone_and_acknowledged() -> None:
    bench = Bench()
    assert not bench.now[AIR]
    seen = bench.run(2100, {"air_pressure_ok": False})
    assert [row[AIR] for row in seen].index(True) == 2000 // SCAN
    bench.run(SCAN, {"air_pressure_ok": True})
    assert bench.now[AIR]  # gone, nobody has acknowledged
    bench.press()
    assert not bench.now[AIR]


def test_an_alarm_that_is_acknowledged_stands_while_it_lasts() -> None:
    bench = Bench()
    bench.run(2100, {"air_pressure_ok": False})
    bench.press()
    assert (bench.now[AIR], bench.now["unacknowledged"]) == (True, False)
    bench.run(SCAN, {"air_pressure_ok": True})
    assert not bench.now["alarm"]


def test_a_button_that_is_jammed_acknowledges_nothing_that_comes_later() -> None:
    bench = Bench()
    bench.run(SCAN, {BUTTON: True})
    bench.run(2100, {"air_pressure_ok": False})
    assert bench.now["unacknowledged"]


def test_the_first_out_is_the_one_that_came_first_until_none_stands() -> None:
    bench = Bench()
    bench.run(2100, {"air_pressure_ok": False})
    bench.run(400, TRIPPING)
    assert bench.now[TRIP]
    assert (bench.now[f"{AIR}.first_out"], bench.now[f"{TRIP}.first_out"]) == (True, False)
    bench.run(SCAN, {"air_pressure_ok": True})
    bench.press()
    assert (bench.now[AIR], bench.now[f"{AIR}.first_out"]) == (False, True)  # the trip still stands
    bench.run(SCAN, {"upper.pressure": 1.0, "reset_button": True})
    assert not bench.now[f"{AIR}.first_out"]


def test_of_two_in_one_scan_the_first_of_the_plan_is_first_out() -> None:
    bench = Bench()
    bench.run(1800, {"air_pressure_ok": False})
    bench.run(400, TRIPPING)
    assert bench.now[AIR]
    assert bench.now[TRIP]
    assert (bench.now[f"{AIR}.first_out"], bench.now[f"{TRIP}.first_out"]) == (False, True)


@pytest.mark.parametrize(("name", "gone_after"), [("alarm_lamp", 0), ("horn", 1000)])
def test_lamp_and_horn_follow_the_alarm(name: str, gone_after: int) -> None:
    bench = Bench()
    bench.run(2100, {"air_pressure_ok": False})
    assert bench.now[name]
    bench.run(SCAN, {"air_pressure_ok": True})
    assert bench.now[name]
    seen = bench.run(2000, {BUTTON: True})
    assert [row[name] for row in seen].index(False) == gone_after // SCAN


def test_a_flashing_lamp_begins_with_being_on() -> None:
    bench = Bench()
    seen = [row["trip_lamp"] for row in bench.run(3000, TRIPPING)]
    begin = seen.index(True)
    assert begin * SCAN == 200  # the trip's own time
    lit = 500 // SCAN
    assert seen[begin : begin + 4 * lit] == [*[True] * lit, *[False] * lit] * 2
    bench.run(SCAN, {"upper.pressure": 1.0, "reset_button": True})
    assert not bench.now["trip_lamp"]


def test_delays_on_and_off() -> None:
    bench = Bench()
    bench.run(60_000)  # the finish after power-up, and its delay
    assert not bench.now["pump"]
    seen = [row["pump"] for row in bench.run(2000, {"full_call": True})]
    assert seen.index(True) == 500 // SCAN
    bench.run(20_400, {"full_call": False})  # the finish, and then the delay
    assert bench.now["pump"]
    assert [row["pump"] for row in bench.run(32_000)].index(False) == pytest.approx(29_600 // SCAN, abs=3)


def test_a_release_waits_for_its_condition() -> None:
    bench = Bench()
    bench.run(5000)
    assert not bench.now["press_may_open"]
    seen = [row["press_may_open"] for row in bench.run(4000, {"upper.outlet_temperature": 50.0})]
    assert seen.index(True) == 3000 // SCAN
    bench.run(SCAN, {"full_call": True})
    assert (bench.now["cooling_lamp"], bench.now["press_may_open"]) == (True, False)
