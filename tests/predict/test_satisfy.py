"""Which inputs are set so that a call is made: the least change, and what the plant decides left to the
plant.
"""

from steadfall.plan.model import Input
from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Signal,
)
from steadfall.predict.inputs.satisfy import names, possible, settings_for

INPUTS = {
    "call": Input("call", "switch"),
    "other": Input("other", "switch", normal=1.0),
    "demand": Input("demand", "percent", low=0.0, high=100.0, unit="%"),
}
BASE = {"call": 0.0, "other": 1.0, "demand": 0.0}


def test_a_switch_is_turned_on() -> None:
    assert settings_for(Signal("call"), INPUTS, BASE) == {"call": 1.0}


def test_what_holds_already_needs_no_change() -> None:
    assert settings_for(Signal("other"), INPUTS, BASE) == {}


def test_the_least_change_wins() -> None:
    condition = Or((And((Signal("call"), Not(Signal("other")))), Signal("call")))
    assert settings_for(condition, INPUTS, BASE) == {"call": 1.0}


def test_two_changes_when_one_is_not_enough() -> None:
    condition = And((Signal("call"), Not(Signal("other"))))
    assert settings_for(condition, INPUTS, BASE) == {"call": 1.0, "other": 0.0}


def test_a_demand_is_driven_to_the_end_that_satisfies_it() -> None:
    assert settings_for(Compare("demand", ">", 40.0, "percent"), INPUTS, BASE) == {"demand": 100.0}


def test_what_the_plant_decides_counts_as_possible() -> None:
    condition = And((Signal("call"), Compare("splice", ">", 400.0, "temperature")))
    assert settings_for(condition, INPUTS, BASE) == {"call": 1.0}
    assert possible(condition, {**BASE, "call": 1.0}) is None


def test_a_condition_that_can_never_hold_gives_nothing() -> None:
    assert settings_for(And((Signal("call"), Not(Signal("call")))), INPUTS, BASE) is None
    assert settings_for(Always(value=False), INPUTS, BASE) is None


def test_held_and_stage_and_sensor_conditions_are_judged() -> None:
    assert possible(Held(Signal("other"), 2000), BASE) is True
    for unknown in (After(100), InStage("upper", "dosing"), OutOfRange("splice")):
        assert possible(unknown, BASE) is None
        assert possible(Not(unknown), BASE) is None
        assert possible(Or((unknown, Signal("other"))), BASE) is True
        assert possible(And((unknown, Signal("call"))), BASE) is False


def test_names_of_a_condition() -> None:
    condition = Or(
        (And((Signal("a"), Not(Held(Signal("b"), 10)))), OutOfRange("c"), Compare("d", "<", 1.0, "percent"))
    )
    assert names(condition) == {"a", "b", "c", "d"}
    assert names(After(10)) == set()
