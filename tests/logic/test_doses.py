"""Doses against tables worked out by hand: restarting, free, interleaved. A scan each 10 ms if nothing else
is said.
"""

from itertools import pairwise

import pytest

from steadfall.plan.model import Action, Call, CircuitType
from tests.logic.plans import FINISH, OPEN, SWEEP, after, circuit_type, dose, on, plan, stage, valve
from tests.logic.running import run

FULL, ENDED = {"full_call": True}, {"full_call": False}
MIST = "upper.mist"
LONG = 10**6
BOTH = (Call(on("full_call"), "full", ("upper", "lower")),)


def dosing(*doses: Action, climb: int = LONG) -> CircuitType:
    """A dosed stage for each dose, left after `climb` ms, then full water."""
    stages = [stage(f"dosing_{i}", after(climb), sweep=OPEN, mist=item) for i, item in enumerate(doses)]
    return circuit_type([*stages, stage("full", mist=OPEN)], FINISH, (valve("mist"), SWEEP))


@pytest.mark.parametrize(
    ("scan", "opens", "shuts"),
    [
        (10, 30, 70),  # multiples of the scan: exact
        (20, 40, 80),  # each rounded up to the scan
        (7, 35, 70),
        (40, 40, 80),
        (100, 100, 100),
    ],
)
def test_a_dose_lasts_its_time_rounded_up_to_the_scan_and_nothing_drifts(
    scan: int, opens: int, shuts: int
) -> None:
    seen = run(plan(dosing(dose(30, 70))), scan * 200, {0: FULL}, dt=scan).openings(MIST)
    period = opens + shuts
    assert len(seen) >= scan * 200 // period
    assert seen == [(period * i, period * i + opens) for i in range(len(seen))]


def test_doses_restart_with_the_stage() -> None:
    seen = run(plan(dosing(dose(30, 70), dose(50, 20), climb=250)), 490, {0: FULL})
    assert seen.openings(MIST) == [(0, 30), (100, 130), (200, 230), (250, 300), (320, 370), (390, 440)]


def test_a_stage_entered_in_mid_dose_begins_a_dose_of_its_own() -> None:
    seen = run(plan(dosing(dose(30, 70), dose(50, 20), climb=210)), 340, {0: FULL})
    assert seen.openings(MIST) == [(0, 30), (100, 130), (200, 260), (280, 330)]


def test_a_free_clock_clips_the_first_dose_and_runs_on_through_the_stages() -> None:
    # From power-up: shut 70, open from 70 to 100; then two scans more than 70 shut: open from 190 to 220, 310
    # to 340.
    seen = run(plan(dosing(dose(30, 70, "free"))), 350, {0: {}, 80: FULL, 200: ENDED, 320: FULL})
    assert seen.openings("clock_30_70.open") == [(70, 100), (190, 220), (310, 340)]
    assert seen.openings(MIST) == [(80, 100), (190, 200), (320, 340)]


@pytest.mark.parametrize(("scan", "opens", "period"), [(10, 30, 120), (20, 40, 160), (40, 40, 200)])
def test_a_free_clock_opens_for_its_time_and_its_period_is_two_scans_longer(
    scan: int, opens: int, period: int
) -> None:
    seen = run(plan(dosing(dose(30, 70, "free"))), scan * 200, {0: FULL}, dt=scan).openings(MIST)
    starts = [start for start, _ in seen]
    assert {end - start for start, end in seen} == {opens}
    assert {b - a for a, b in pairwise(starts)} == {period}


def test_stages_with_the_same_free_dose_share_its_clock() -> None:
    kind = dosing(dose(30, 70, "free"), dose(30, 70, "free"), climb=200)
    seen = run(plan(kind, circuits={"upper": 0, "lower": 0}, calls=BOTH), 390, {0: FULL})
    assert seen.openings(MIST) == seen.openings("lower.mist") == [(70, 100), (190, 220), (310, 340)]


def test_doses_of_two_circuits_that_start_together_are_interleaved() -> None:
    seen = run(plan(dosing(dose(30, 70)), circuits={"upper": 0, "lower": 50}, calls=BOTH), 400, {0: FULL})
    assert seen.openings("upper.mist") == [(0, 30), (100, 130), (200, 230), (300, 330)]
    assert seen.openings("lower.mist") == [(50, 80), (150, 180), (250, 280), (350, 380)]


def test_the_delay_begins_anew_with_each_stage() -> None:
    made = plan(dosing(dose(30, 70), dose(40, 60), climb=220), circuits={"upper": 50})
    assert run(made, 430, {0: FULL}).openings(MIST) == [(50, 80), (150, 180), (270, 310), (370, 410)]


@pytest.mark.parametrize("delay", [50, 5 * 100 + 50])
def test_free_doses_are_interleaved_by_the_shared_clock(delay: int) -> None:
    """A delay of whole periods more is the same delay."""
    made = plan(dosing(dose(30, 70, "free")), circuits={"upper": 0, "lower": delay}, calls=BOTH)
    seen = run(made, 1200, {0: FULL})
    first = seen.openings("upper.mist")
    assert first[:3] == [(70, 100), (190, 220), (310, 340)]
    assert seen.openings("lower.mist") == [(start + 50, end + 50) for start, end in first if end + 50 <= 1200]
