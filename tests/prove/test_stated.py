"""What the sentences of a plan mean, each where it holds and where it is broken."""

from __future__ import annotations

from typing import Any

import pytest

from steadfall.plan.model import AtMost, EveryOpening, Exclusive, Never, Whenever
from steadfall.plan.model.condition import And, Held, InStage, Not, Or, Passed, Signal
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, REFUTED, VACUOUS, Verdict
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.whole import Watched, watched
from tests.prove.plans import guarded

MIST, SWEEP, AIR = Signal("upper.mist"), Signal("upper.sweep"), Signal("air_ok")
CALL, TRIPPED = Signal("full_call"), Signal("tripped")
IDLE, DOSING, FULL, BLOW_OUT = (InStage("upper", name) for name in ("idle", "dosing", "full", "blow_out"))


def verdict_on(item: Any, **times: Any) -> tuple[Watched, Verdict]:
    of = watched(guarded(item, **times))
    row = next(one for one in of.required if one.stated)
    return of, decide(of, row, Ask(effort=40_000_000), Simulated())


HOLDS: dict[str, Any] = {
    "never, same scan": Never(And((MIST, Not(AIR))), ""),
    "never in idle": Never(And((MIST, IDLE)), ""),
    "exclusive": Exclusive((MIST, IDLE), ""),
    "exclusive of three": Exclusive((IDLE, DOSING, FULL), ""),
    "whenever at once": Whenever(TRIPPED, Not(MIST), 0, 0, ""),
    "whenever held, within": Whenever(Held(Not(Or((CALL, Signal("gentle_call")))), 180), IDLE, 40, 0, ""),
    "shortest opening": EveryOpening("upper.mist", 50, None, True, ""),
    "openings in a time": AtMost("upper.mist", 3, 150, ""),
    # A stage is left in the scan in which its time is over, and its time is 0 in the scan that comes into it.
    "time in a stage": Never(And((BLOW_OUT, Passed("upper.stage_time", ">", 40))), ""),
    "time of a command": Whenever(And((MIST, Passed("upper.mist.held_time", "<", 50))), AIR, 0, 0, ""),
}
BROKEN: dict[str, tuple[Any, int]] = {
    # the earliest moment, in ms after power-up, worked out by hand
    "never": (Never(And((MIST, SWEEP)), ""), 0),  # called at once: dosing with sweep
    "exclusive": (Exclusive((MIST, SWEEP), ""), 0),
    # Blow-out is shorter than the shortest opening: a dose that has just begun is still open when the drain
    # opens.
    "held into the drain": (Never(And((MIST, Signal("upper.drain"))), ""), 41),
    "whenever at once": (Whenever(CALL, MIST, 0, 0, ""), 0),  # without air
    "whenever within": (Whenever(CALL, MIST, 100, 0, ""), 101),  # first seen late a ms after the time is over
    "time in a stage": (Never(And((BLOW_OUT, Passed("upper.stage_time", ">", 20))), ""), 21),
    "time in a stage that begins": (Never(And((DOSING, Passed("upper.stage_time", "<", 20))), ""), 0),
    "time of a command": (Never(And((MIST, Passed("upper.mist.held_time", ">=", 30))), ""), 30),
    "whenever lasting": (Whenever(DOSING, MIST, 0, 60, ""), 1),  # air is lost
    "shortest opening with cuts": (EveryOpening("upper.mist", 50, None, False, ""), 1),
    "longest opening": (EveryOpening("upper.mist", None, 20, False, ""), 21),
    "openings in a time": (AtMost("upper.mist", 1, 5000, ""), 51),  # cut after 1 ms, shut for 50 ms
}


@pytest.mark.parametrize("name", HOLDS)
def test_what_holds_is_proved_and_checked_again(name: str) -> None:
    _, verdict = verdict_on(HOLDS[name], shortest_open_ms=50, shortest_shut_ms=50)
    assert (verdict.verdict, verdict.rechecked) == (PROVED, True), verdict.notes
    assert verdict.witness is not None


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_broken_is_refuted_as_early_as_can_be(name: str) -> None:
    item, earliest = BROKEN[name]
    _, verdict = verdict_on(item, shortest_open_ms=50, shortest_shut_ms=50)
    assert verdict.verdict == REFUTED, verdict.notes
    assert verdict.way is not None
    assert verdict.way.end_ms >= earliest


def test_what_can_never_be_exercised_is_vacuous() -> None:
    _, verdict = verdict_on(Never(And((And((IDLE, FULL)), MIST)), ""))
    assert verdict.verdict == VACUOUS
    assert "never" in verdict.notes[0]


def test_a_condition_that_is_always_false_or_true_is_told() -> None:
    of, verdict = verdict_on(Never(And((MIST, Not(MIST))), ""))
    assert verdict.verdict == PROVED  # it is exercised: the valve opens
    _, verdict = verdict_on(Never(Or((MIST, Not(MIST))), ""))
    assert verdict.verdict == REFUTED
    assert verdict.way is not None
    assert verdict.way.end_ms == 0
    assert of.plan.requirements
