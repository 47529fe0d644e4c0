"""The dose clock of common practice clips the first dose; the clock that begins with the stage does not."""

from __future__ import annotations

import pytest

from steadfall.plan.model import EveryOpening
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, REFUTED
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.explain.trace import origins, run_of
from steadfall.prove.requirements.whole import watched
from tests.prove.plans import guarded

WHOLE = "upper.dosing.mist_dose.lasts"


def test_the_free_clock_clips_the_first_dose() -> None:
    of = watched(guarded(clock="free"))
    row = next(one for one in of.required if one.name == WHOLE)
    verdict = decide(of, row, Ask(effort=60_000_000), Simulated())
    assert verdict.verdict == REFUTED, verdict.notes
    found = run_of(of, verdict)
    assert found is not None
    trace = found.trace
    start, end = trace.openings("upper.mist")[-1]
    assert end == trace.end_ms
    assert end - start < 80  # the plan says 80 ms
    assert trace.at("upper.stage", end) == 1  # and the stage has not ended
    assert trace.at("air_ok", end)
    lines = origins(of, verdict, trace)
    assert isinstance(lines, tuple)


def test_the_clock_that_begins_with_the_stage_gives_whole_doses() -> None:
    of = watched(guarded(clock="restart"))
    row = next(one for one in of.required if one.name == WHOLE)
    verdict = decide(of, row, Ask(effort=60_000_000), Simulated())
    assert verdict.verdict == PROVED, verdict.notes
    assert verdict.rechecked


@pytest.mark.parametrize(("held", "wanted"), [({}, REFUTED), ({"shortest_open_ms": 50}, PROVED)])
def test_the_shortest_opening_needs_the_valve_to_be_held(held: dict[str, int], wanted: str) -> None:
    of = watched(guarded(EveryOpening("upper.mist", 50, None, True, ""), clock="free", **held))
    row = next(one for one in of.required if one.stated)
    assert decide(of, row, Ask(effort=60_000_000), Simulated()).verdict == wanted
