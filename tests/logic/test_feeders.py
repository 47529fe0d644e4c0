"""Main valves and pumps: there before a circuit begins, as long as it draws on them, cut with the water."""

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type, Value
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "supply_side").read_text(encoding="utf-8")
TEXT = f"restart: by itself\n{TEXT}"  # what is looked at here is not how a call is made
TEXT = TEXT.replace("for: 15 s}", "for: 1 s}").replace("for: 30 s}", "for: 1 s}")  # the steps of the finish
PLAN = read_text(TEXT)
USUAL = {
    "pot_jacket.outlet_temperature": 150.0,
    "pot_jacket.pressure": 0.0,
    "air_there": True,
    "compressor_switch": True,
}
WATER = ("water_main", "booster")


class Bench:
    """A scanner at 20 ms, and when each signal has changed."""

    def __init__(self, text: str = TEXT, *watched: str) -> None:
        self.scanner, self.now = Scanner(build(read_text(text))), 0
        self.watched, self.seen = watched, dict.fromkeys(watched, False)
        self.changes: list[tuple[int, str, Value]] = []

    def run(self, ms: int, **inputs: Value) -> dict[str, Value]:
        given = {**USUAL, "cool": False, **inputs}
        for _ in range(ms // 20):
            self.scanner.scan(20, given)
            for name in self.watched:
                if self.scanner.values[name] is not self.seen[name]:
                    self.seen[name] = bool(self.scanner.values[name])
                    self.changes.append((self.now, name, self.seen[name]))
            self.now += 20
        return dict(self.scanner.values)


def test_the_circuit_begins_when_the_last_lead_is_over() -> None:
    bench = Bench(TEXT, *WATER, "water_main.ready", "booster.ready", "pot_jacket.drip")
    bench.run(3_000)  # the finish that follows power-up
    bench.run(6_000, cool=True)
    assert bench.changes == [
        (3_000, "water_main", True),
        (3_000, "booster", True),
        (6_000, "water_main.ready", True),
        (7_000, "booster.ready", True),
        (7_000, "pot_jacket.drip", True),  # its first dose is a whole one
        (7_600, "pot_jacket.drip", False),
    ]


def test_each_stays_as_long_as_it_is_drawn_on_and_for_its_lag() -> None:
    bench = Bench(TEXT, *WATER, "air_main")
    bench.run(3_000)
    bench.changes.clear()
    bench.run(8_000, cool=True)
    bench.run(6_000)
    ends = {name: at for at, name, value in bench.changes if not value}
    assert ends["booster"] == 11_020  # the scan after the call has ended
    assert 15_980 <= ends["water_main"] <= 16_060  # 5 s
    assert 13_980 <= ends["air_main"] <= 14_100  # blow-out of 1 s, and 2 s
    assert bench.run(20)["air_main"] is False


def test_a_lost_permissive_shuts_what_feeds_water_in_the_same_scan() -> None:
    bench = Bench()
    assert all(bench.run(12_000, cool=True)[name] for name in (*WATER, "air_main"))
    found = bench.run(20, cool=True, air_there=False)
    assert [found[name] for name in (*WATER, "air_main", "pot_jacket.drip")] == [False, False, True, False]
    bench.run(4_000, cool=True, air_there=False)
    assert bench.run(20, cool=True, air_there=False)["air_main"] is False


def test_a_condition_of_the_plan_opens_a_main_and_what_it_feeds_shuts_with_it() -> None:
    text = TEXT.replace("lead: 3 s, lag: 5 s,", "lead: 3 s, open: main_switch,")
    bench = Bench(text.replace("inputs:\n", "inputs:\n  main_switch: {kind: switch}\n"))
    assert bench.run(5_000, cool=True)["pot_jacket.stage"] == 0  # in idle: no water is there
    found = bench.run(5_020, cool=True, main_switch=True)
    assert (found["pot_jacket.stage"], found["water_main"]) == (1, True)
    while not bench.scanner.values["pot_jacket.drip"]:
        bench.run(20, cool=True, main_switch=True)
    found = bench.run(20, cool=True, main_switch=False)  # in the middle of a dose
    assert (found["water_main"], found["pot_jacket.drip"], found["pot_jacket.stage"]) == (False, False, 3)


@pytest.mark.parametrize("ends", ["hand", "test"])
def test_the_compressor_runs_from_the_scan_in_which_hand_mode_or_a_test_begins_the_finish(ends: str) -> None:
    text = next(path for path in GOOD if path.stem == "hand").read_text(encoding="utf-8")
    plan = read_text(f"{text}pumps:\n  compressor: {{for: works_air, run_up: 2 s}}\n")
    network = build(plan)
    usual: dict[str, Value] = {one.name: 150.0 if one.type is Type.REAL else False for one in network.inputs}
    usual |= {"air_pressure_ok": True, "upper.pressure": 0.0}
    scanner = Scanner(network)
    for _ in range(81 * 50):  # the finish that follows power-up
        scanner.scan(20, usual)
    assert (scanner.values["upper.stage"], scanner.values["compressor"]) == (0, False)
    pressed: dict[str, Value] = {"hand_key": True} if ends == "hand" else {"test_button": True}
    lost: dict[str, Value] = {"air_pressure_ok": False}
    stays = pressed if ends == "hand" else usual
    for given in (pressed, *[stays] * 50, *[lost] * 50):
        scanner.scan(20, {**usual, **given})
        if scanner.values["upper.stage"]:
            break
    assert (scanner.values["upper.sweep"], scanner.values["compressor"]) == (True, True)
