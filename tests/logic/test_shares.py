"""Time-proportioned doses, and the shortest times of valves, against tables worked out by hand."""

from steadfall.plan.model import Share
from tests.logic.plans import AIR_OK, FINISH, OPEN, SWEEP, after, circuit_type, plan, stage, valve
from tests.logic.running import Inputs, run

FULL, ENDED, AIR, NO_AIR = {"full_call": True}, {"full_call": False}, {"air_ok": True}, {"air_ok": False}
MIST = "upper.mist"
SHARING = circuit_type(
    [stage("sharing", after(10**6), mist=Share("demand", 400)), stage("full", mist=OPEN)],
    FINISH,
    (valve("mist", shortest_open_ms=50, shortest_shut_ms=60), SWEEP),
)


def test_a_share_is_latched_at_the_start_of_each_cycle() -> None:
    changes = {0: {**FULL, "demand": 25.0}, 60: {"demand": 50.0}, 500: {"demand": 0.0}}
    # 25 % of 400 ms; the change at 60 ms counts from the next cycle on, so does the one at 500 ms.
    assert run(plan(SHARING), 1500, changes).openings(MIST) == [(0, 100), (400, 600)]


def test_a_share_is_rounded_to_the_timer_step_skipped_or_made_whole() -> None:
    changes = {
        0: {**FULL, "demand": 11.0},  # 44 ms, rounded to 40: less than the shortest opening, skipped
        300: {"demand": 12.0},  # 48 ms, rounded to 50: from 400 to 450
        700: {
            "demand": 86.5
        },  # 346 ms, rounded to 350: would leave 50 ms shut, so open to the end: from 800 on
        1100: {"demand": 100.0},  # and through the next cycle
        1500: {"demand": 85.0},  # 340 ms, leaves 60 ms, which is enough: to 1940
        1900: {"demand": 0.0},
    }
    assert run(plan(SHARING), 2500, changes).openings(MIST) == [(400, 450), (800, 1940)]


def test_a_cycle_begins_with_the_stage_or_after_the_delay() -> None:
    changes: dict[int, Inputs] = {0: {"demand": 25.0}, 30: FULL, 600: ENDED, 620: FULL}
    assert run(plan(SHARING), 800, changes).openings(MIST) == [(30, 130), (430, 530), (620, 720)]
    late = plan(SHARING, circuits={"upper": 70})
    assert run(late, 1000, changes).openings(MIST) == [(100, 200), (500, 600), (690, 790)]


def test_two_shares_of_one_valve_have_a_cycle_each() -> None:
    stages = [
        stage("slow", after(400), mist=Share("demand", 400)),
        stage("fast", after(200), mist=Share("demand", 100)),
        stage("full", mist=OPEN),
    ]
    kind = circuit_type(stages, FINISH, (valve("mist"), SWEEP))
    seen = run(plan(kind), 620, {0: {**FULL, "demand": 50.0}})
    assert seen.openings(MIST) == [(0, 200), (400, 450), (500, 550)]


HOLDING = circuit_type(
    [stage("short", after(60), mist=OPEN), stage("full", sweep=OPEN)],
    FINISH,
    (valve("mist", shortest_open_ms=100, shortest_shut_ms=40), SWEEP),
)


def test_shortest_times_hold_across_stages() -> None:
    # Stage 1 from 0 to 60 and from 120 to 180; open at least 100; shut from 100, so not open again before
    # 140.
    seen = run(plan(HOLDING), 400, {0: FULL, 110: ENDED, 120: FULL})
    assert seen.changes("upper.stage") == [(0, 1), (60, 2), (110, 3), (120, 1), (180, 2)]
    assert seen.openings(MIST) == [(0, 100), (140, 240)]


def test_a_permissive_cuts_the_shortest_opening_but_not_the_shortest_pause() -> None:
    seen = run(plan(HOLDING, permissives=(AIR_OK,)), 200, {0: {**FULL, **AIR}, 30: NO_AIR, 40: AIR})
    assert seen.openings(MIST) == [(0, 30), (70, 170)]
