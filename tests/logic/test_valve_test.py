"""Valves tested one after another from idle: what makes way, what ends it, what it marks, what feeds it."""

from __future__ import annotations

from copy import deepcopy

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "hand").read_text(encoding="utf-8")
MAIN = "valves:\n  water_main: {in: works_water, kv: 12 m3/h, travel: 1 s, lead: 2 s, lag: 5 s}\ncircuits:\n"
NETWORK, FED = (build(read_text(text)) for text in (TEXT, TEXT.replace("circuits:\n", MAIN, 1)))
IN_IDLE: dict[bool, Scanner] = {}
SECOND, PAUSE, FOR = 50, 125, 150  # scans
USUAL: dict[str, Value] = {
    row.name: 150.0 if row.type.value == "REAL" else False for row in NETWORK.inputs
} | {"air_pressure_ok": True, "upper.pressure": 0.0}
VALVES = ("mist", "flood", "sweep", "way_out", "drain")
IDLE, FIRST, BLOW_OUT = 0, 1, 4


class Bench:
    """A scanner at the panel of the press, both circuits idle; the button has just been pressed."""

    def __init__(self, *, fed: bool = False) -> None:
        self.scanner = Scanner(FED if fed else NETWORK)
        if fed not in IN_IDLE:
            self.scan(81 * SECOND)
            IN_IDLE[fed] = self.scanner
        self.scanner = deepcopy(IN_IDLE[fed])
        self.scan(1, test_button=True)

    def scan(self, scans: int, **given: Value) -> set[str]:
        """The valves of the upper platen that are open after so many scans with these inputs."""
        for _ in range(scans):
            self.scanner.scan(20, {**USUAL, **given})
        return {name for name in VALVES if self.scanner.values[f"upper.{name}"]}

    def value(self, name: str) -> Value:
        return self.scanner.values[name]


def test_each_valve_has_its_turn_and_the_finish_follows() -> None:
    bench = Bench()
    assert bench.scan(PAUSE - 1) == {"way_out"}  # the drain has made way
    assert bench.scan(1) == {"way_out", "mist"}
    assert bench.scan(FOR) == {"way_out"}
    assert bench.scan(PAUSE) == {"way_out", "flood"}
    assert bench.scan(FOR + 1) == {"drain"}
    assert bench.scan(PAUSE) == set()  # it rests open: its turn shuts it
    assert bench.scan(FOR) == {"drain"}
    assert (bench.value("in_test"), bench.value("upper.stage")) == (True, IDLE)
    assert bench.scan(PAUSE) == {"way_out", "sweep"}
    assert (bench.value("in_test"), bench.value("upper.stage"), bench.value("lower.stage")) == (
        False,
        BLOW_OUT,
        IDLE,
    )


def test_a_call_ends_it_at_once_and_counts_when_every_valve_is_at_rest() -> None:
    bench = Bench()
    assert bench.scan(PAUSE) == {"way_out", "mist"}
    assert bench.scan(1, full_call=True) == {"way_out", "mist"}  # its shortest opening
    assert (bench.value("test_step"), bench.value("upper.stage")) == (0, IDLE)
    bench.scan(20, full_call=True)
    assert (bench.value("in_test"), bench.value("upper.stage")) == (False, FIRST)


def test_a_trip_a_permissive_hand_mode_and_another_press_end_it() -> None:
    ends: list[dict[str, Value]] = [
        {"upper.pressure": 8.0},
        {"air_pressure_ok": False},
        {"hold_switch": True},
        {"hand_key": True},
        {"test_button": True},
    ]
    for given in ends:
        bench = Bench()
        bench.scan(PAUSE + SECOND)
        bench.scan(12, **given)
        assert bench.value("test_step") == 0, given
        bench.scan(2)
        assert (bench.value("in_test"), bench.value("upper.stage")) == (False, BLOW_OUT), given


def test_it_begins_from_idle_alone() -> None:
    bench = Bench()
    bench.scan(SECOND, full_call=True)
    for given in ({}, {"test_button": True}):
        bench.scan(2, **given)
        assert bench.value("upper.stage") == BLOW_OUT
    assert bench.value("in_test") is False


def test_a_valve_that_does_not_answer_is_marked_until_the_next_test() -> None:
    bench = Bench()
    bench.scan(2 * PAUSE + FOR + 2 * SECOND)
    assert bench.value("upper.flood.failed_test") is False
    bench.scan(5)
    assert bench.value("upper.flood.failed_test") is True
    bench.scan(120 * SECOND)
    assert (bench.value("upper.stage"), bench.value("no_answer")) == (IDLE, True)
    bench.scan(1, test_button=True)
    assert bench.value("upper.flood.failed_test") is False


def test_what_feeds_a_valve_comes_in_the_pause_and_by_hand() -> None:
    bench = Bench(fed=True)
    assert (bench.value("water_main"), bench.value("water_main.ready")) == (True, False)
    assert "mist" in bench.scan(PAUSE)
    bench.scan(150 * SECOND)
    assert (bench.value("upper.stage"), bench.value("water_main")) == (IDLE, False)
    asked: dict[str, Value] = {"hand_key": True, "out_by_hand": True, "mist_by_hand": True}
    assert bench.scan(3, **asked) == {"way_out"}
    assert bench.value("water_main") is True
    assert bench.scan(3 * SECOND, **asked) == {"way_out", "mist"}
    bench.scan(4 * SECOND, hand_key=True)
    assert bench.value("water_main") is True  # its lag
    bench.scan(2 * SECOND, hand_key=True)
    assert bench.value("water_main") is False
