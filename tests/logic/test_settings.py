"""Settings: a plan with a setting does what the plan with that number in its place does."""

import random
from collections.abc import Mapping
from functools import cache, partial

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type, Value
from steadfall.plan.meaning.settled import settled
from steadfall.plan.model import Plan, Setting
from steadfall.plan.read.whole import read_text
from steadfall.predict.history import recorded_inputs
from steadfall.predict.inputs.scenario import course
from steadfall.predict.run import coarse
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

SET_TOO = (
    ("shortest_shut: 300 ms", "shortest_shut: least_shut"),
    (
        "  taking_turns:",
        "  least_shut: {default: 300 ms, adjustable: 100 ms .. 1 s}\n"
        "  full_from: {default: 80 %, adjustable: 60 .. 95 %}\n"
        "  give_up: {default: 4 %, adjustable: 0 .. 10 %}\n"
        "  taking_turns:",
    ),
    ("inputs:\n", "inputs:\n  demand: {kind: percent}\n"),
    (
        "calls:\n",
        "calls:\n  - {demand: demand, thresholds: {dosing: 20 %, full: full_from}, hysteresis: give_up}\n",
    ),
)


@cache
def plan() -> Plan:
    """The good plan, with a shortest pause and the levels of a demand that are settings too."""
    text = next(path for path in GOOD if path.stem == "settings").read_text(encoding="utf-8")
    for old, new in SET_TOO:
        assert old in text
        text = text.replace(old, new)
    return read_text(text)


def shown(picked: Mapping[str, float]) -> dict[str, Value]:
    """What the panel shows of values in SI."""
    kelvin = 273.15
    rows = ((one, picked[one.name]) for one in plan().settings.values())
    off = {"time": 0.0, "percent": 0.0, "temperature": kelvin}
    return {
        one.name: round(value * 1000) if one.is_time else value - off[one.dimension] for one, value in rows
    }


def drawn(luck: random.Random, one: Setting) -> float:
    value = luck.choice((one.low, one.default, one.high, luck.uniform(one.low, one.high)))
    return round(value, 2)


@pytest.mark.parametrize("seed", range(6))
def test_a_setting_is_as_good_as_a_number(seed: int) -> None:
    luck = random.Random(seed)
    picked = {one.name: drawn(luck, one) for one in plan().settings.values()}
    with_settings = Scanner(build(plan()))
    plain = build(settled(plan(), lambda one: picked[one.name]))
    without = Scanner(plain)
    panel = shown(picked)
    told = [row.name for row in plain.assignments if row.type is not Type.TIME]  # clocks stop at other ends
    now: dict[str, Value] = {}
    for scan in range(4000):
        for row in plain.inputs:
            if not scan or luck.random() < 0.002:
                on = luck.random() < 0.8
                now[row.name] = on if row.type is Type.BOOL else luck.uniform(90.0, 150.0)
        if not scan or luck.random() < 0.002:
            now["demand"] = luck.uniform(0.0, 100.0)
        now["upper.pressure"] = 1.0 if luck.random() < 0.9998 else 8.0
        dt = luck.choice((10, 20, 40))
        one, other = with_settings.scan(dt, {**now, **panel}), without.scan(dt, now)
        assert {name: one[name] for name in told} == {name: other[name] for name in told}


def calls(on: bool) -> dict[str, Value]:
    return {"full_call": on, "air_pressure_ok": True}


def test_the_panel_is_heard_when_every_circuit_is_idle() -> None:
    scanner = Scanner(build(plan()))
    assert scanner.scan(0, calls(True))["first_dose.in_use"] == 800
    assert scanner.scan(20, {"first_dose": 1500})["first_dose.in_use"] == 800  # it cools
    scanner.scan(20, calls(False))
    finishing = [scanner.scan(20, {})["first_dose.in_use"] for _ in range(900)]
    assert set(finishing) == {800}
    assert [scanner.scan(20, {})["first_dose.in_use"] for _ in range(300)][-1] == 1500


@pytest.mark.parametrize(("panel", "in_use"), [(0, 400), (399, 400), (1000, 1000), (10**9, 1600), (-5, 400)])
def test_a_setting_is_kept_within_its_ends(panel: int, in_use: int) -> None:
    assert Scanner(build(plan())).scan(0, {"first_dose": panel})["first_dose.in_use"] == in_use


def test_a_scenario_may_have_settings_of_its_own() -> None:
    run = recorded_inputs(plan(), "long doses", 100, coarse(plan()))
    seen = {name: run.inputs[name].values.tolist() for name in ("first_dose", "cool_enough")}
    assert seen == {"first_dose": [1600], "cool_enough": [100.0]}
    assert "'first_dose' set to 1.6 s" in course(plan(), "long doses").remarks[0]


def test_no_number_is_the_low_end() -> None:
    found = Scanner(build(plan())).scan(0, {"cool_enough": float("nan")})
    assert found["cool_enough.in_use"] == pytest.approx(100.0)


def _always(value: float, _: Setting) -> float:
    return value


def test_a_ramp_may_fall_to_a_setting() -> None:
    text = next(path for path in GOOD if path.stem == "ramp").read_text(encoding="utf-8")
    text = text.replace("to: 80 degC", "to: coldest").replace(
        "\ncircuit_types:",
        "\nsettings:\n  coldest: {default: 80 degC, adjustable: 60 .. 90 degC}\n\ncircuit_types:",
    )
    for low in (60.0, 72.5, 90.0):
        with_setting = read_text(text)
        plain = build(settled(with_setting, partial(_always, low + 273.15)))
        one, other = Scanner(build(with_setting)), Scanner(plain)
        lowest = 1000.0
        for scan in range(2500):
            now: dict[str, Value] = {"full_call": scan > 50, "air_pressure_ok": True, "steel": 95.0}
            first, second = one.scan(400, {**now, "coldest": low}), other.scan(400, now)
            assert first["ramp"] == second["ramp"]
            lowest = min(lowest, float(first["ramp.set_point"]))
        assert lowest == low
