"""Scenarios: the strongest call by default, the plan's own, and what ends them."""

import pytest
from attrs import evolve

from steadfall.plan.model import Call, Plan, Scenario, Step
from steadfall.plan.model.condition import Signal
from steadfall.plan.read.whole import read_text
from steadfall.plan.starter import PATTERNS, starter
from steadfall.predict.inputs.scenario import DEFAULT, LETS_GO, WITHOUT_GOALS_MS, course
from steadfall.source import PlanError

STANDING = [pattern for pattern in PATTERNS if pattern != "roll"]  # the roll is begun by a press


def let_go_of(pattern: str) -> Plan:
    """A starter of which nothing but its call ends a cool-down."""
    return evolve(read_text(starter(pattern), pattern), done=None)


@pytest.fixture(scope="module")
def press() -> Plan:
    """The press, but that its pressure switch is set by hand."""
    plan = let_go_of("press")
    by_hand = evolve(plan.inputs["air_pressure_ok"], measures=None, changes=None)
    return evolve(plan, inputs={**plan.inputs, by_hand.name: by_hand})


def test_the_default_makes_the_strongest_call_and_ends_it_with_the_goals(press: Plan) -> None:
    found = course(press)
    assert found.name == DEFAULT
    assert found.start["full_call"] == 0.0
    assert found.changes == ((1, "full_call", 1.0),)  # the first scan has seen no call
    assert found.start["gentle_call"] == 0.0
    assert found.start["air_pressure_ok"] == 1.0  # its ordinary state
    assert found.release == {"full_call": 0.0}
    assert found.until_ms is None
    assert found.longest_ms == int(1.5 * 1000 * press.goals[0].within)
    assert found.remarks == (LETS_GO,)


@pytest.mark.parametrize("pattern", STANDING)
def test_every_starter_has_a_default_scenario_that_calls(pattern: str) -> None:
    found = course(let_go_of(pattern))
    assert found.release
    assert {name: found.start[name] for name in found.release} == found.release
    assert {name for _, name, value in found.changes if value != found.start[name]} == set(found.release)


@pytest.mark.parametrize("pattern", STANDING)
def test_a_call_that_need_not_be_new_stands_from_the_first_scan_on(pattern: str) -> None:
    found = course(evolve(let_go_of(pattern), restarts=True))
    assert found.changes == ()
    assert all(found.start[name] != value for name, value in found.release.items())


def test_a_call_that_usually_stands_is_let_go_first(press: Plan) -> None:
    inputs = {**press.inputs, "full_call": evolve(press.inputs["full_call"], normal=1.0)}
    found = course(evolve(press, inputs=inputs))
    assert found.start["full_call"] == 0.0
    assert found.changes == ((1, "full_call", 1.0),)


def test_a_permissive_that_would_forbid_all_water_is_set_and_said(press: Plan) -> None:
    inputs = {**press.inputs, "air_pressure_ok": evolve(press.inputs["air_pressure_ok"], normal=0.0)}
    found = course(evolve(press, inputs=inputs))
    assert found.start["air_pressure_ok"] == 1.0
    assert len(found.remarks) == 2
    assert "air_pressure_ok" in found.remarks[0]
    assert "normal: on" in found.remarks[0]


def test_a_plan_without_goals_runs_for_an_hour_and_says_so(press: Plan) -> None:
    found = course(evolve(press, goals=()))
    assert (found.until_ms, found.longest_ms) == (WITHOUT_GOALS_MS, WITHOUT_GOALS_MS)
    assert any("no goal" in remark for remark in found.remarks)


def test_steps_of_a_written_scenario(press: Plan) -> None:
    steps = (
        Step(0, {"full_call": 1.0}),
        Step(360_000, {"air_pressure_ok": 0.0}),
        Step(420_000, {"air_pressure_ok": 1.0}),
    )
    plan = evolve(press, scenarios={"lost": Scenario("lost", steps, None, 7_200_000)})
    found = course(plan, "lost")
    assert found.start == course(plan).start
    air = ((360_000, "air_pressure_ok", 0.0), (420_000, "air_pressure_ok", 1.0))
    assert found.changes == ((1, "full_call", 1.0), *air)
    assert course(evolve(plan, restarts=True), "lost").start["full_call"] == 1.0
    assert found.release["full_call"] == 0.0
    assert "air_pressure_ok" not in found.release


def test_a_scenario_with_a_time_does_not_release_anything(press: Plan) -> None:
    plan = evolve(
        press, scenarios={"short": Scenario("short", (Step(0, {"full_call": 1.0}),), 60_000, 60_000)}
    )
    found = course(plan, "short")
    assert (found.until_ms, found.release) == (60_000, {})


def test_an_unknown_scenario_is_a_problem_that_names_the_known_ones(press: Plan) -> None:
    with pytest.raises(PlanError, match=r"'no such' is no scenario of this plan.*strongest call.*air lost"):
        course(press, "no such")


def test_calls_that_only_the_plant_can_make_are_left_to_it(press: Plan) -> None:
    call = Call(Signal("upper.flood_is_open"), "full", ("upper", "lower"))
    found = course(evolve(press, calls=(call,)))
    assert found.release == {}
