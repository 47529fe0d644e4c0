"""Valves by hand: once every circuit is idle, guards and exclusions in force, and back from idle alone."""

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
    row.name: 150.0 if row.type.value == "REAL" else False for row in NETWORK.inputs
} | {"air_pressure_ok": True, "upper.pressure": 0.0}
VALVES = ("mist", "flood", "sweep", "way_out", "drain")
IDLE, FIRST, BLOW_OUT = 0, 1, 4


class Bench:
    """A scanner at the panel of the press, with the hand key turned once both circuits are idle."""

    def __init__(self, *, in_hand: bool = True) -> None:
        self.scanner = Scanner(NETWORK)
        self.scan(81 * SECOND)
        assert self.stages() == (IDLE, IDLE)
        if in_hand:
            self.scan(1, hand_key=True)

    def scan(self, scans: int, **given: Value) -> set[str]:
        """The valves of the upper platen that are open after so many scans with these inputs."""
        for _ in range(scans):
            self.scanner.scan(20, {**USUAL, **given})
        return {name for name in VALVES if self.scanner.values[f"upper.{name}"]}

    def hand(self, scans: int, *asked: str, **given: Value) -> set[str]:
        """The same with the hand key turned, and some valves asked for."""
        return self.scan(scans, hand_key=True, **{f"{name}_by_hand": True for name in asked}, **given)

    def stages(self) -> tuple[Value, Value]:
        return self.scanner.values["upper.stage"], self.scanner.values["lower.stage"]


def test_each_valve_does_what_it_is_asked() -> None:
    bench = Bench()
    assert bench.hand(2) == set()  # the drain stands open in idle, but not where it is in hand
    assert bench.hand(2, "out") == {"way_out"}
    assert bench.hand(2, "out", "sweep") == {"way_out", "sweep"}
    assert bench.hand(2, "out") == {"way_out"}
    assert bench.hand(2, "out", "mist") == {"way_out", "mist"}
    assert bench.hand(2, "out") == {"way_out", "mist"}  # its shortest opening
    assert bench.hand(20, "drain") == {"drain"}
    assert bench.stages() == (IDLE, IDLE)


def test_of_two_that_exclude_each_other_neither_opens_and_one_waits_for_the_other() -> None:
    bench = Bench()
    bench.hand(2, "out")
    assert bench.hand(5, "out", "flood", "sweep") == {"way_out"}
    assert bench.hand(1, "out", "flood") == {"way_out", "flood"}
    assert bench.hand(1, "out", "sweep") == {"way_out"}  # in this scan the other still has to shut
    assert bench.hand(1, "out", "sweep") == {"way_out", "sweep"}


def test_nothing_is_let_into_a_shut_outlet_and_it_waits_for_what_is_open() -> None:
    bench = Bench()
    assert bench.hand(5, "sweep") == set()
    assert bench.hand(2, "sweep", "out") == {"way_out", "sweep"}
    assert bench.hand(1, "sweep") == {"way_out"}
    assert bench.hand(1, "sweep") == set()


def test_permissives_and_trips_cut_by_hand_too() -> None:
    bench = Bench()
    bench.hand(2, "out")
    assert bench.hand(2, "out", "flood") == {"way_out", "flood"}
    assert bench.hand(1, "out", "flood", air_pressure_ok=False) == {"way_out"}
    assert bench.hand(2, "out", "flood") == {"way_out", "flood"}
    assert bench.hand(20, "out", "flood", **{"upper.pressure": 8.0}) == {"way_out"}


def test_the_key_cuts_the_call_and_valves_wait_for_idle() -> None:
    bench = Bench(in_hand=False)
    bench.scan(2, full_call=True)
    assert bench.stages() == (FIRST, FIRST)
    bench.hand(1, "drain", full_call=True)
    assert bench.stages() == (BLOW_OUT, BLOW_OUT)
    assert bench.hand(10 * SECOND, "drain", full_call=True) == {"sweep", "way_out"}
    assert bench.hand(80 * SECOND, "drain", full_call=True) == {"drain"}


def test_it_ends_with_every_valve_at_rest_and_a_call_must_be_made_anew() -> None:
    bench = Bench()
    bench.hand(2, "out")
    bench.hand(2, "out", "mist", full_call=True)
    assert bench.scan(5, full_call=True) == {"way_out", "mist"}  # the key is back, its shortest opening lasts
    assert bench.scanner.values["in_hand"] is True
    assert bench.scan(20, full_call=True) == {"sweep", "way_out"}
    assert bench.scanner.values["in_hand"] is False
    assert bench.stages() == (BLOW_OUT, IDLE)  # what was let in is let out
    bench.scan(2)
    bench.scan(1, full_call=True)
    assert bench.stages() == (FIRST, FIRST)
