"""The sequence of a circuit against tables worked out by hand. A scan each 10 ms, the first at 0.

The plan of most tests: dosing (climb after 100 ms), soaking (climb after 50 ms), full; finish: blow_out 40
ms, emptying 60 ms. States: 0 idle, 1 dosing, 2 soaking, 3 full, 4 blow_out, 5 emptying.
"""

import pytest

from steadfall.plan.model import Call, Permissive
from steadfall.plan.model.condition import Always, And, InStage, Or, Signal
from tests.logic.plans import (
    AIR_OK,
    DRAIN,
    FAULT,
    MIST,
    OPEN,
    STAGES,
    SWEEP,
    above,
    after,
    both,
    circuit_type,
    held,
    no,
    on,
    plan,
    stage,
    valve,
)
from tests.logic.running import run

FULL, GENTLE, AIR = {"full_call": True}, {"gentle_call": True}, {"air_ok": True}
STAGE = "upper.stage"


def test_a_full_call_climbs_by_the_times_of_the_stages() -> None:
    assert run(plan(), 300, {0: FULL}).changes(STAGE) == [(0, 1), (100, 2), (150, 3)]


def test_a_time_that_is_no_multiple_of_the_scan_is_rounded_up_to_it() -> None:
    # 100 ms at a scan of 40 ms is seen at 120 ms; 50 ms after that at 80 ms more.
    assert run(plan(), 400, {0: FULL}, dt=40).changes(STAGE) == [(0, 1), (120, 2), (200, 3)]


def test_a_gentle_call_climbs_no_higher_than_it_allows() -> None:
    seen = run(plan(), 400, {0: GENTLE, 300: FULL})
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (300, 3)]
    assert seen.changes("upper.target") == [(0, 2), (300, 3)]


def test_never_more_than_one_stage_up_in_a_scan() -> None:
    always = tuple(stage(name, Always(True), mist=OPEN) for name in ("one", "two", "three", "four"))
    kind = circuit_type((*always, stage("full", mist=OPEN)))
    assert run(plan(kind), 60, {0: FULL}).of(STAGE) == [1, 2, 3, 4, 5, 5, 5]


def test_a_climb_by_process_condition_by_time_and_by_both() -> None:
    climbs = (above("demand", 50.0), both(after(30), above("demand", 50.0)))
    kind = circuit_type(
        (stage("a", climbs[0], mist=OPEN), stage("b", climbs[1], mist=OPEN), stage("full", mist=OPEN))
    )
    seen = run(plan(kind), 200, {0: FULL, 70: {"demand": 60.0}, 80: {"demand": 10.0}, 150: {"demand": 50.5}})
    assert seen.changes(STAGE) == [(0, 1), (70, 2), (150, 3)]
    assert run(plan(kind), 200, {0: {**FULL, "demand": 60.0}}).changes(STAGE) == [(0, 1), (10, 2), (40, 3)]


def test_steps_down_at_once() -> None:
    seen = run(plan(), 400, {0: {**FULL, **GENTLE}, 200: {"full_call": False}})
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (150, 3), (200, 2)]


def test_steps_down_after_the_least_time_in_the_stage() -> None:
    kind = circuit_type(step_down_ms=80)
    calls = {0: {**FULL, **GENTLE}, 160: {"full_call": False}}
    assert run(plan(kind), 400, calls).changes(STAGE) == [(0, 1), (100, 2), (150, 3), (230, 2)]


def test_the_end_of_a_call_waits_for_no_least_time() -> None:
    kind = circuit_type(step_down_ms=80)
    assert run(plan(kind), 170, {0: FULL, 160: {"full_call": False}}).changes(STAGE)[-1] == (160, 4)


def test_without_a_call_the_finish_runs_in_order_to_idle() -> None:
    seen = run(plan(), 500, {0: FULL, 200: {"full_call": False}})
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (150, 3), (200, 4), (240, 5), (300, 0)]
    assert seen.openings("upper.sweep") == [(0, 150), (200, 240)]
    # Open at rest: before the call, in the step that drains, and in idle.
    assert seen.changes("upper.drain") == [(0, False), (240, True)]


def test_a_new_call_during_the_finish_begins_at_the_first_stage() -> None:
    seen = run(plan(), 400, {0: FULL, 200: {"full_call": False}, 250: FULL})
    assert seen.changes(STAGE) == [
        (0, 1),
        (100, 2),
        (150, 3),
        (200, 4),
        (240, 5),
        (250, 1),
        (350, 2),
        (400, 3),
    ]


def test_without_finish_steps_the_end_of_a_call_is_idle() -> None:
    kind = circuit_type(finish=(), cold_start="finish")
    assert run(plan(kind), 100, {0: FULL, 50: {"full_call": False}}).changes(STAGE) == [(0, 1), (50, 0)]


def test_valves_follow_the_table_of_stages() -> None:
    seen = run(plan(), 200, {0: {}, 10: FULL})
    assert seen.at(0, "upper.drain") is True
    assert [seen.at(0, f"upper.{name}") for name in ("mist", "sweep")] == [False, False]
    assert [seen.at(120, f"upper.{name}") for name in ("mist", "sweep", "drain")] == [True, True, False]
    assert [seen.at(170, f"upper.{name}") for name in ("mist", "sweep", "drain")] == [True, False, False]


@pytest.mark.parametrize(
    ("cold_start", "first"), [("finish", [(0, 4), (40, 5), (100, 0)]), ("idle", [(0, 0)])]
)
def test_cold_start(cold_start: str, first: list[tuple[int, int]]) -> None:
    assert run(plan(circuit_type(cold_start=cold_start)), 200, {}).changes(STAGE) == first


def test_a_call_at_a_cold_start_begins_at_the_first_stage() -> None:
    assert run(plan(circuit_type(cold_start="finish")), 120, {0: FULL}).changes(STAGE) == [(0, 1), (100, 2)]


def test_a_permissive_cuts_in_the_same_scan_and_ends_cooling() -> None:
    seen = run(plan(permissives=(AIR_OK,)), 400, {0: {**FULL, **AIR}, 120: {"air_ok": False}, 180: AIR})
    assert seen.changes("permitted") == [(0, True), (120, False), (180, True)]
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (120, 4), (160, 5), (180, 1), (280, 2), (330, 3)]
    assert seen.at(110, "upper.mist") is True
    assert seen.at(120, "upper.mist") is False


def test_a_permissive_for_some_valves_cuts_them_and_leaves_the_stage() -> None:
    flood = valve("flood")
    stages = (stage("dosing", after(100), mist=OPEN, flood=OPEN), stage("full", mist=OPEN))
    only_mist = Permissive("mist", on("air_ok"), ("upper.mist",), False)
    made = plan(circuit_type(stages, valves=(MIST, flood, SWEEP, DRAIN)), permissives=(only_mist,))
    seen = run(made, 80, {0: {**FULL, **AIR}, 30: {"air_ok": False}, 60: AIR})
    assert seen.changes("upper.mist") == [(0, True), (30, False), (60, True)]
    assert seen.changes("upper.flood") == [(0, True)]
    assert seen.changes(STAGE) == [(0, 1)]
    assert seen.changes("permitted") == [(0, True), (30, False), (60, True)]


def test_a_permissive_cuts_no_air() -> None:
    seen = run(plan(permissives=(AIR_OK,)), 60, {0: {**FULL, **AIR}, 30: {"air_ok": False}})
    assert seen.changes("upper.sweep") == [(0, True)]  # on through the blow-out


def test_a_trip_latches_until_reset_and_goes_to_the_finish() -> None:
    fault, clear, reset, released = (
        {"fault": True},
        {"fault": False},
        {"reset_button": True},
        {"reset_button": False},
    )
    seen = run(plan(trips=(FAULT,)), 400, {0: FULL, 120: fault, 130: clear, 300: reset, 310: released})
    assert seen.changes("tripped") == [(0, False), (120, True), (300, False)]
    # The call is still there: idle after the finish, and cooling again in the scan of the reset.
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (120, 4), (160, 5), (220, 0), (300, 1), (400, 2)]
    assert seen.at(120, "upper.mist") is False


def test_a_trip_cannot_be_reset_while_its_condition_holds() -> None:
    changes = {
        0: {"fault": True},
        20: {"reset_button": True},
        50: {"fault": False},
        60: {"reset_button": False},
    }
    seen = run(plan(trips=(FAULT,)), 100, changes)
    assert seen.changes("tripped") == [(0, True), (50, False)]


def test_a_condition_held_for_a_time_needs_it_without_a_gap() -> None:
    trip = FAULT.__class__("pressure", held(on("fault"), 50), on("reset_button"))
    changes = {10: {"fault": True}, 50: {"fault": False}, 60: {"fault": True}, 130: {"fault": False}}
    assert run(plan(trips=(trip,)), 150, changes).changes("tripped") == [(0, False), (110, True)]


def test_calls_read_stages_as_the_last_scan_left_them() -> None:
    # Cooling gives itself up one scan after it has reached soaking, and comes back one scan later.
    once = Call(And((Signal("full_call"), no(InStage("upper", "soaking")))), "full", ("upper",))
    seen = run(plan(circuit_type(STAGES), calls=(once,)), 120, {0: FULL})
    assert seen.changes(STAGE) == [(0, 1), (100, 2), (110, 4), (120, 1)]


def test_a_condition_can_ask_for_idle_and_finishing() -> None:
    resting = Call(Or((InStage("upper", "idle"), InStage("upper", "finishing"))), "full", ("upper",))
    # True in idle, untrue in stage 1, so: 1, finish, 1, finish ...
    assert run(plan(calls=(resting,)), 50, {}).of(STAGE) == [1, 4, 1, 4, 1, 4]
