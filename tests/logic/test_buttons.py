"""Calls by push-buttons: a press begins, the stop button wins, and what has ended needs another press."""

from __future__ import annotations

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "buttons").read_text(encoding="utf-8")
NETWORK = build(read_text(TEXT))
START, LOWER, STOP, AIR = "start_button", "lower_start", "stop_button", "air_pressure_ok"
USUAL = {row.name: 150.0 for row in NETWORK.inputs if row.type.value == "REAL"} | {
    START: False,
    LOWER: False,
    STOP: True,  # wired normally closed
    AIR: True,
    "gentle_call": False,
    "reset_button": False,
    "upper.pressure": 0.0,
}


class Bench:
    """A scanner at the panel of the press."""

    def __init__(self) -> None:
        self.scanner = Scanner(NETWORK)

    def scan(self, scans: int = 1, **given: Value) -> tuple[bool, bool]:
        """Which of the two platens is cooling after so many scans with these inputs."""
        for _ in range(scans):
            self.scanner.scan(20, {**USUAL, **given})
        return self.scanner.values["upper.stage"] in (1, 2), self.scanner.values["lower.stage"] in (1, 2)

    def begin(self) -> None:
        """Power has come, and the button of the upper platen is pressed and let go."""
        self.scan(start_button=False)
        assert self.scan(start_button=True) == (True, False)
        assert self.scan(5) == (True, False)


def test_a_press_begins_and_the_stop_button_ends() -> None:
    bench = Bench()
    bench.begin()
    assert bench.scan(stop_button=False) == (False, False)
    assert bench.scan(5) == (False, False)
    assert bench.scan(start_button=True) == (True, False)


def test_each_button_begins_its_own_circuit_and_one_stop_ends_both() -> None:
    bench = Bench()
    bench.begin()
    assert bench.scan(lower_start=True) == (True, True)
    assert bench.scan(stop_button=False) == (False, False)


def test_stop_wins_over_a_start_pressed_with_it_and_held_after_it() -> None:
    bench = Bench()
    bench.begin()
    assert bench.scan(3, start_button=True, stop_button=False) == (False, False)
    assert bench.scan(3, start_button=True) == (False, False)  # still held: it is no new press
    bench.scan()
    assert bench.scan(start_button=True) == (True, False)


def test_a_button_that_is_jammed_when_power_comes_begins_nothing() -> None:
    bench = Bench()
    assert bench.scan(5, start_button=True) == (False, False)


def test_a_lost_permissive_and_a_trip_end_the_call_for_good() -> None:
    bench = Bench()
    bench.begin()
    assert bench.scan(air_pressure_ok=False) == (False, False)
    assert bench.scan(50) == (False, False)
    assert bench.scan(start_button=True) == (True, False)
    bench.scan(20, **{"upper.pressure": 8.0})
    assert bench.scanner.values["tripped"]
    assert bench.scan(reset_button=True) == (False, False)
    assert bench.scan(50) == (False, False)
    assert bench.scan(start_button=True) == (True, False)


def test_a_press_while_something_is_tripped_does_not_wait_for_the_reset() -> None:
    bench = Bench()
    bench.scan(20, **{"upper.pressure": 8.0})
    bench.scan(start_button=True)
    assert bench.scan(5, reset_button=True) == (False, False)


def test_after_a_cool_down_is_done_a_press_begins_the_next() -> None:
    cold = {"upper.platen_temperature": 60.0, "lower.platen_temperature": 60.0}
    bench = Bench()
    bench.begin()
    assert bench.scan(1600, **cold) == (False, False)
    assert bench.scanner.values["done"]
    assert bench.scan(50) == (False, False)  # warm again: it stays ended
    assert bench.scan(start_button=True) == (True, False)
    assert not bench.scanner.values["done"]
