"""A sequence on hold stands in its stage; a press steps on where the plan allows it, and a hold wins."""

from __future__ import annotations

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "hand").read_text(encoding="utf-8")
NETWORK = build(read_text(TEXT))
SECOND = 50  # scans
USUAL: dict[str, Value] = {
    row.name: 100.0 if row.type.value == "REAL" else False for row in NETWORK.inputs
} | {
    "air_pressure_ok": True,
    "upper.pressure": 0.0,
    "full_call": True,
}


class Bench:
    """A scanner at the panel of the press, in the first stage."""

    def __init__(self) -> None:
        self.scanner = Scanner(NETWORK)
        self.scan(2, full_call=False)
        assert self.scan(1) == (1, 1)

    def scan(self, scans: int, **given: Value) -> tuple[Value, Value]:
        """The stages of both platens after so many scans with these inputs."""
        for _ in range(scans):
            self.scanner.scan(20, {**USUAL, **given})
        return self.scanner.values["upper.stage"], self.scanner.values["lower.stage"]


def test_on_hold_nothing_climbs_and_the_time_counts_anew_after_it() -> None:
    bench = Bench()
    assert bench.scan(44 * SECOND) == (1, 1)
    assert bench.scan(60 * SECOND, hold_switch=True) == (1, 1)
    assert bench.scanner.values["on_hold"] is True
    assert bench.scan(45 * SECOND - 1) == (1, 1)
    assert bench.scan(1) == (2, 2)
    assert bench.scan(30 * SECOND) == (3, 3)


def test_a_hold_stops_no_end_and_no_cut() -> None:
    bench = Bench()
    bench.scan(46 * SECOND)
    assert bench.scan(SECOND, hold_switch=True) == (2, 2)
    assert bench.scan(1, hold_switch=True, air_pressure_ok=False) == (4, 4)
    bench = Bench()
    bench.scan(SECOND, hold_switch=True)
    assert bench.scan(1, hold_switch=True, full_call=False) == (4, 4)
    assert bench.scan(81 * SECOND, hold_switch=True, full_call=False) == (0, 0)


def test_a_press_steps_on_once_and_only_from_where_it_may() -> None:
    bench = Bench()
    assert bench.scan(1, upper_step=True) == (2, 1)
    assert bench.scan(SECOND, upper_step=True) == (2, 1)  # held down: no new press
    bench.scan(1)
    assert bench.scan(SECOND, upper_step=True) == (2, 1)  # this button is for the first stage alone
    assert bench.scan(1, step_button=True) == (3, 2)
    bench.scan(1)
    assert bench.scan(1, step_button=True) == (3, 3)


def test_a_press_on_hold_is_lost() -> None:
    bench = Bench()
    assert bench.scan(1, hold_switch=True, step_button=True) == (1, 1)
    assert bench.scan(SECOND, step_button=True) == (1, 1)


def test_a_button_that_is_jammed_when_power_comes_steps_on_nothing() -> None:
    scanner = Scanner(NETWORK)
    for call in (False, True, True):
        scanner.scan(20, {**USUAL, "step_button": True, "full_call": call})
    assert scanner.values["upper.stage"] == 1


def test_a_step_goes_no_further_than_the_call() -> None:
    held = TEXT.replace("{when: full_call, allows: full}", "{when: full_call, allows: dosing}")
    scanner = Scanner(
        build(read_text(held.replace("calls:\n", "calls:\n  - {when: reset_button, allows: full}\n")))
    )
    for given in ({"full_call": False}, {"full_call": False}, {}, {}, {"step_button": True}):
        scanner.scan(20, {**USUAL, **given})
    assert scanner.values["upper.stage"] == 1
