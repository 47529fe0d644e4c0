"""Each engine switched off in turn, and each alone: verdicts may become unknown and never contradict."""

from __future__ import annotations

from functools import cache

import pytest

from steadfall.plan.model import EveryOpening, Never
from steadfall.plan.model.condition import And, InStage, Not, Signal
from steadfall.prove.decide.ask import ENGINES, ONE_STEP, RUNS, Ask
from steadfall.prove.decide.result import PROVED, REFUTED, UNKNOWN
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from tests.prove.plans import guarded

ITEMS = (
    Never(And((Signal("upper.mist"), InStage("upper", "idle"))), ""),
    Never(And((Signal("upper.mist"), Signal("upper.sweep"))), ""),
    EveryOpening("upper.mist", 50, None, True, ""),
    EveryOpening("upper.mist", None, 60, True, ""),
    Never(And((Signal("upper.mist"), Not(Signal("air_ok")))), ""),
)
WANTED = (PROVED, REFUTED, PROVED, REFUTED, PROVED)


@cache
def of() -> Watched:
    return watched(guarded(*ITEMS, shortest_open_ms=50, shortest_shut_ms=50))


@cache
def runs() -> dict[str, Simulated]:
    """What made-up runs show of the stated requirements."""
    return simulate(of(), stated(), 6)


def stated() -> list[Required]:
    return [row for row in of().required if row.stated]


def verdicts(engines: frozenset[str]) -> list[str]:
    rows, seen = stated(), runs()
    ask = Ask(effort=6_000_000, engines=engines, recheck=False)
    bare = {name: one if RUNS in engines else type(one)(one.witness, None) for name, one in seen.items()}
    return [decide(of(), row, ask, bare[row.name]).verdict for row in rows]


@pytest.mark.slow
@pytest.mark.parametrize("off", ENGINES)
def test_without_one_engine_no_verdict_is_turned(off: str) -> None:
    for found, wanted in zip(verdicts(frozenset(ENGINES) - {off}), WANTED, strict=True):
        assert found in (wanted, UNKNOWN)


@pytest.mark.slow
@pytest.mark.parametrize("alone", ENGINES)
def test_one_engine_alone_never_turns_a_verdict(alone: str) -> None:
    for found, wanted in zip(verdicts(frozenset({alone, ONE_STEP})), WANTED, strict=True):
        assert found in (wanted, UNKNOWN)


def test_all_engines_know_all_of_it() -> None:
    assert tuple(verdicts(frozenset(ENGINES))) == WANTED
