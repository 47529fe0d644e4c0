"""Settings: a plan with a setting does what the plan with that number in its place does."""

import random
from collections.abc import Mapping
from functools import cache

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type, Value
from steadfall.plan.meaning.settled import settled
from steadfall.plan.model import Plan, Setting
from steadfall.predict.history import recorded_inputs
from steadfall.predict.run import coarse
from steadfall.predict.scenario import course
from steadfall.scan.interpreter import Scanner
from tests.plan.test_good import good


@cache
def plan() -> Plan:
    return good("settings")


def shown(picked: Mapping[str, float]) -> dict[str, Value]:
    """What the panel shows of values in SI."""
    kelvin = 273.15
    rows = ((one, picked[one.name]) for one in plan().settings.values())
    return {one.name: round(value * 1000) if one.is_time else value - kelvin for one, value in rows}


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
