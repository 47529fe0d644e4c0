"""Faults: what they change, and that a phrase which means nothing is refused."""

from __future__ import annotations

import pytest

from steadfall.plan.model import Plan
from steadfall.prove.decide import Ask, Seen, decide
from steadfall.prove.faults import read_faults
from steadfall.prove.requirements import watched
from steadfall.prove.result import PROVED, REFUTED, VACUOUS, Verdict
from steadfall.prove.step import CUT
from steadfall.source import PlanError
from tests.prove.plans import guarded

PAUSE, CUT_BY_TRIP = "upper.mist.shortest_shut", "upper.mist.cut_by_trip"


def verdict_on(name: str, *phrases: str) -> Verdict:
    plan: Plan = guarded(shortest_open_ms=50, shortest_shut_ms=50)
    of = watched(plan, None, read_faults(plan, phrases))
    row = next(one for one in of.required if one.name == name)
    return decide(of, row, Ask(seconds=20.0), Seen())


def test_a_power_cut_breaks_the_shortest_pause_and_not_the_trip() -> None:
    assert verdict_on(PAUSE).verdict == PROVED
    found = verdict_on(PAUSE, "power cut")
    assert found.verdict == REFUTED
    assert found.way is not None
    assert any(CUT in inputs for _, inputs in found.way.scans)
    kept = verdict_on(CUT_BY_TRIP, "power cut")
    assert (kept.verdict, kept.rechecked) == (PROVED, True)


def test_a_stuck_input_narrows_what_can_be() -> None:
    assert verdict_on(CUT_BY_TRIP, "fault stuck on").verdict == VACUOUS  # tripped from the start: never open before
    assert verdict_on(PAUSE, "fault bounces").verdict in (PROVED, VACUOUS)


@pytest.mark.parametrize("phrase", ["nonsense", "no_such_input stuck on", "demand stuck on", "fault at its lower end"])
def test_a_phrase_that_means_nothing_is_refused(phrase: str) -> None:
    with pytest.raises(PlanError, match="unknown-fault"):
        read_faults(guarded(), [phrase])
