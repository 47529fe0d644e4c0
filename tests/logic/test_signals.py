"""Demands, the ramp follower, sensors and limit switches, against tables worked out by hand."""

import math

import pytest

from steadfall.plan.model import Call, Demand, Feedback, Input, Ramp, Trip
from steadfall.plan.model.condition import Compare, OutOfRange
from tests.logic.plans import FINISH, INPUTS, OPEN, SWEEP, circuit_type, on, plan, stage, valve
from tests.logic.running import Inputs, run

STAGES = [stage(name, on("gentle_call"), mist=OPEN) for name in ("low", "middle")] + [
    stage("high", mist=OPEN)
]
KIND = circuit_type(STAGES)
FALLING = Ramp("ramp", "heat", on("full_call"), 2.0, 273.15 + 80.0, 10.0)


def demand(hysteresis: float) -> Demand:
    return Demand("demand", {"low": 10.0, "middle": 40.0, "high": 70.0}, hysteresis, ("upper",))


def test_a_demand_allows_stages_from_their_thresholds_up() -> None:
    percents = [9.9, 10.0, 39.0, 40.0, 70.0, 69.9, 39.9, 10.0, 9.9]
    changes = {10 * i: {"demand": percent} for i, percent in enumerate(percents)}
    assert run(plan(KIND, calls=[demand(0.0)]), 80, changes).of("upper.target") == [0, 1, 1, 2, 3, 2, 1, 1, 0]


def test_a_demand_gives_a_stage_up_below_threshold_less_hysteresis() -> None:
    percents = [9.9, 10.0, 7.5, 7.4, 9.9, 70.0, 67.5, 67.4, 37.5, 37.4, 7.4]
    changes = {10 * i: {"demand": percent} for i, percent in enumerate(percents)}
    assert run(plan(KIND, calls=[demand(2.5)]), 100, changes).of("upper.target") == [
        0,
        1,
        1,
        0,
        0,
        3,
        3,
        2,
        2,
        1,
        0,
    ]


def test_the_highest_of_demand_and_calls_counts() -> None:
    calls: list[Call | Demand] = [demand(0.0), Call(on("full_call"), "middle", ("upper",))]
    changes: dict[int, Inputs] = {
        0: {"demand": 10.0},
        10: {"full_call": True},
        20: {"demand": 90.0},
        30: {"full_call": False},
    }
    assert run(plan(KIND, calls=calls), 30, changes).of("upper.target") == [1, 2, 3, 3]


def test_the_set_point_tracks_then_falls_at_its_rate_to_its_end() -> None:
    made = plan(KIND, ramps=[FALLING])
    changes: dict[int, Inputs] = {
        0: {"heat": 90.0},
        500: {"heat": 84.0},
        1000: {"full_call": True},
        2000: {"heat": 81.0},
    }
    seen = run(made, 4500, {**changes, 4000: {"full_call": False}}, dt=500)
    # Tracks 90, 84; from 1000 ms on 2 K/s from 84 down to 80, there from 3000 ms on; tracks 81 once the call
    # has gone.
    assert seen.of("ramp.set_point") == pytest.approx([90, 84, 84, 83, 82, 81, 80, 80, 81, 81])
    # 100 % x distance / 10 K: at 2000 ms 81 is 1 below 82 (0 %), at 3000 ms 1 above 80.
    assert seen.of("ramp") == pytest.approx([0, 0, 0, 10, 0, 0, 10, 10, 0, 0])


def test_the_demand_of_a_ramp_is_kept_within_its_ends_and_asks_for_stages() -> None:
    calls = [Demand("ramp", {"low": 10.0, "middle": 40.0, "high": 70.0}, 0.0, ("upper",))]
    made = plan(KIND, ramps=[FALLING], calls=calls)
    seen = run(made, 30, {0: {"heat": 90.0, "full_call": True}, 10: {"heat": 200.0}, 20: {"heat": 20.0}})
    assert seen.of("ramp") == [0.0, 100.0, 0.0, 0.0]
    assert seen.of("upper.target") == [0, 3, 0, 0]


def test_a_ramp_is_the_same_in_degrees_fahrenheit() -> None:
    fahrenheit = Input("heat", "temperature", low=273.15, high=523.15, unit="degF")
    inputs = [item if item.name != "heat" else fahrenheit for item in INPUTS]
    seen = run(
        plan(KIND, ramps=[FALLING], inputs=inputs), 2000, {0: {"heat": 212.0, "full_call": True}}, dt=500
    )
    # 2 K/s are 3.6 degF/s; 10 K are 18 degF.
    assert seen.of("ramp.set_point") == pytest.approx([212.0, 210.2, 208.4, 206.6, 204.8])
    assert seen.of("ramp") == pytest.approx([0, 10, 20, 30, 40])


def test_constants_are_compared_in_the_unit_of_the_input() -> None:
    warm = Compare("heat", ">=", 413.15, "temperature")
    made = plan(KIND, trips=[Trip("warm", warm, on("reset_button"))])
    assert run(made, 10, {0: {"heat": 139.9999}, 10: {"heat": 140.0}}).of("tripped") == [False, True]


@pytest.mark.parametrize(
    ("value", "out"),
    [
        (0.0, False),
        (250.0, False),
        (-3.1, False),
        (-3.2, True),
        (257.8, False),
        (257.9, True),
        (math.nan, True),
    ],
)
def test_a_sensor_beyond_what_a_reading_can_be(value: float, out: bool) -> None:
    """0 .. 250 degC on 4 to 20 mA: 3.8 mA is -3.125 degC, 20.5 mA is 257.8125 degC (NAMUR NE 43, from
    memory).
    """
    made = plan(KIND, trips=[Trip("sensor", OutOfRange("heat"), on("reset_button"))])
    assert run(made, 0, {0: {"heat": value}}).of("tripped") == [out]


def test_a_valve_that_does_not_follow_its_command_in_time_disagrees() -> None:
    mist = valve("mist", feedback=Feedback("mist_is_open", 50))
    kind = circuit_type(STAGES, FINISH, (mist, SWEEP))
    seen = run(
        plan(kind, calls=[Call(on("full_call"), "low", ("upper",))]),
        300,
        {
            20: {"full_call": True},  # the command of 20 ms is compared from 30 ms on
            60: {"upper.mist_is_open": True},  # in time
            100: {"upper.mist_is_open": False},  # falls shut by itself
            170: {"upper.mist_is_open": True},
            200: {"full_call": False},  # and now sticks open: shut from 210 ms on, disagrees 50 ms later
        },
    )
    assert seen.changes("upper.mist.disagrees") == [(0, False), (150, True), (170, False), (260, True)]
