"""The portfolio: what the engines are asked about one requirement, in which order, until one knows.

Rule of this file: nothing is called proved without a certificate and a witness, nothing refuted that the interpreter
does not replay. What no engine settles in its time is unknown, with the reason.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve, frozen

from steadfall.prove.certificate import Certificate, text_of
from steadfall.prove.demands.watch import Required
from steadfall.prove.engines import bounded, bounds, induction, onward, spacer
from steadfall.prove.engines.calm import calm
from steadfall.prove.engines.drive import driver
from steadfall.prove.known import MEMORY, Answer, model_of
from steadfall.prove.levels import levels
from steadfall.prove.requirements import Watched
from steadfall.prove.result import PROVED, REFUTED, UNKNOWN, VACUOUS, Verdict, Way
from steadfall.prove.system.cone import cone
from steadfall.prove.system.pattern import Question
from steadfall.prove.system.replay import Replay, Scan, changes, expand, replay
from steadfall.prove.system.step import CUT, Model
from steadfall.prove.system.usual import usual

ONE_STEP, RUNS = "one step", "runs"
ENGINES = (RUNS, ONE_STEP, spacer.NAME, onward.NAME, bounds.NAME, induction.NAME, bounded.NAME)
LONGEST_TRY = 20.0  # s, of one engine on one level
SHORTER = 1.0  # s at most, for a violation of as few steps that takes less time; again, for one with less in it
SOON = 6.0  # s, for what is quickly found or not at all
SOONER = 2.0  # s, for a first try at a proof before ways to break it are looked for, and for a shorter way than a run's
DEEPEST = 400  # steps of the bounded search; time ends it first
DEPTH_OF_A_CUT = 8  # steps within which a power cut breaks most of what it breaks


@frozen
class Ask:
    """How hard to try: seconds for each requirement, engines, whether cvc5 checks at once."""

    seconds: float = 30.0
    engines: frozenset[str] = frozenset(ENGINES)
    recheck: bool = True


@frozen
class Seen:
    """What runs of the controller have shown of a requirement."""

    witness: Mapping[str, Any] | None = None
    violation: tuple[Scan, ...] | None = None


@frozen
class Shown:
    """A violation that a run and steps from there have shown."""

    scans: tuple[Scan, ...]


def decide(watched: Watched, required: Required, ask: Ask, seen: Seen) -> Verdict:
    """The verdict on one requirement."""
    begin = time.monotonic()
    verdict = _decide(watched, required, ask, seen, begin + ask.seconds)
    if verdict.certificate and ask.recheck:
        verdict = evolve(verdict, rechecked=check_again(watched, verdict))
    return evolve(verdict, seconds=time.monotonic() - begin)


def check_again(watched: Watched, verdict: Verdict) -> bool:
    """Asks cvc5 the three questions of a stored certificate, on the network as the plan gives it now."""
    kept = verdict.certificate
    assert kept is not None  # noqa: S101 - asked by callers
    required = verdict.required
    goal = required.bad if verdict.verdict == PROVED else required.exercised
    freed = frozenset(kept.freed)
    found = watched.pattern(cone(watched.network, [goal], lambda name: name in freed), goal)
    return MEMORY.confirmed(found.question, Certificate(found.take_out(kept.invariant), (), kept.steps))


def _decide(watched: Watched, required: Required, ask: Ask, seen: Seen, until: float) -> Verdict:
    blank = Verdict(required, UNKNOWN, witness=seen.witness)
    if seen.violation:
        return _refuted_by_run(watched, blank, ask, seen.violation, until)
    found = _broken_by_a_cut(watched, required, ask) or exclude(watched, required, required.bad, ask, until)
    if isinstance(found, Way):
        return evolve(blank, verdict=REFUTED, engine=bounded.NAME, way=found, witness=blank.witness or _self(found))
    if isinstance(found, Shown):
        refuted = _refuted_by_run(watched, blank, ask, found.scans, time.monotonic() + SOONER)
        return evolve(refuted, engine=onward.NAME) if refuted.engine == RUNS else refuted
    if not isinstance(found, tuple):
        return evolve(blank, notes=(found,))
    if seen.witness is not None:
        return evolve(blank, verdict=PROVED, engine=found[0], certificate=found[1], notes=_notes(found[1]))
    return _with_witness(watched, evolve(blank, engine=found[0], certificate=found[1]), ask, until)


def _broken_by_a_cut(watched: Watched, required: Required, ask: Ask) -> Way | None:
    """A violation soon after a power cut; most of what a cut breaks it breaks at once."""
    if not watched.faults.power_cut or bounded.NAME not in ask.engines:
        return None
    part = watched.searched(cone(watched.network, [required.bad]))
    return _search(watched, part, required.bad, min(SOON, ask.seconds / 4), DEPTH_OF_A_CUT)[0]


def _self(way: Way) -> Mapping[str, Any]:
    return {"at_ms": way.at_ms, "by": "its violation"}


def _notes(certificate: Certificate) -> tuple[str, ...]:
    return (f"whatever {', '.join(certificate.freed)} may do",) if certificate.freed else ()


def _with_witness(watched: Watched, proved: Verdict, ask: Ask, until: float) -> Verdict:
    """Looks for a moment at which a proved requirement has something to say."""
    required = proved.required
    found = _soon(watched, required.exercised, ask) or exclude(
        watched, required, required.exercised, ask, max(until, time.monotonic() + ask.seconds / 2)
    )
    if isinstance(found, Way):
        assert proved.certificate is not None  # noqa: S101
        witness = {"by": bounded.NAME, **found.as_json("at_ms")}
        return evolve(proved, verdict=PROVED, witness=witness, notes=_notes(proved.certificate))
    if isinstance(found, tuple):
        what = f"'{required.occasion}'" if required.occasion else "what it begins with"
        note = f"it never has anything to say: {what} can never be"
        return evolve(proved, verdict=VACUOUS, engine=found[0], certificate=found[1], notes=(note,))
    return evolve(proved, verdict=UNKNOWN, certificate=None, notes=("nothing breaks it, but no run exercises it",))


def _soon(watched: Watched, goal: str, ask: Ask) -> Way | None:
    """A way to a goal that takes few steps: most can be reached, and this is quicker than to ask whether."""
    if bounded.NAME not in ask.engines:
        return None
    part = watched.searched(cone(watched.network, [goal]))
    return _search(watched, part, goal, min(SOON, ask.seconds / 4))[0]


def _refuted_by_run(watched: Watched, blank: Verdict, ask: Ask, scans: Sequence[Scan], until: float) -> Verdict:
    """A violation that a run has shown, and a shorter one where the bounded search finds it soon."""
    required = blank.required
    if bounded.NAME in ask.engines:
        full = watched.searched(cone(watched.network, [required.bad]))
        soon = min(until - time.monotonic(), SOON, ask.seconds / 2)
        way, _ = _search(watched, full, required.bad, soon)
        if isinstance(way, Way):
            return evolve(blank, verdict=REFUTED, engine=bounded.NAME, way=way, witness=blank.witness or _self(way))
    seen = replay(watched.network, scans, required.bad)
    if seen is None:
        return evolve(blank, notes=("a run of the fast machine broke it and the interpreter did not",))
    seen = calmed(watched, required, seen)
    way = Way(seen.scans, seen.at_ms)
    notes = ("found by a run; there may be a shorter one",)
    return evolve(blank, verdict=REFUTED, engine=RUNS, way=way, notes=notes, witness=blank.witness or _self(way))


def exclude(
    watched: Watched, required: Required, goal: str, ask: Ask, until: float
) -> tuple[str, Certificate] | Way | Shown | str:
    """A certificate that a goal is never reached, with its engine; or a way to it; or why neither is known."""
    reason = "no engine is switched on that could tell"
    looked = goal != required.bad or onward.NAME not in ask.engines
    for level in levels(watched, required, goal):
        last = level.name == "all" or not level.freed
        found = watched.pattern(level.network, goal)
        quick = level.name == "outputs" and not last
        answer = Answer()
        if quick or not looked:
            answer = _answer(found.question, SOON if quick else SOONER, ask, until)
        if not (quick or looked or answer.certificate):
            looked = True
            if (shown := _shown(watched, goal, ask)) is not None:
                return shown
        if not (quick or answer.certificate):
            answer = _answer(found.question, 0.0, ask, until)
        kept = answer.certificate
        if kept is not None:
            return answer.engine, Certificate(found.put_back(kept.invariant), level.freed, kept.steps)
        if last:
            return _last(watched, watched.searched(level.network), goal, ask, until, reason)
    return reason


def _shown(watched: Watched, goal: str, ask: Ask) -> Shown | None:
    """A way to a goal from where runs have come, as the interpreter sees it."""
    part = cone(watched.network, [goal])
    model = watched.searched(part)
    scans = onward.search(model, model.values[goal], driver(watched.plan, part), min(SOON, ask.seconds / 4))
    return None if scans is None or replay(part, scans, goal) is None else Shown(scans)


def _answer(question: Question, soon: float, ask: Ask, until: float) -> Answer:
    """What the engines say to a question; `soon`: only what the fixed-point engine finds in so many seconds."""
    key, begin = (question, soon, ask.engines), time.monotonic()
    known = MEMORY.answer(key, until - begin)
    if known is not None:
        return known
    part = model_of(question)
    target = part.values[question.goal]
    if ONE_STEP in ask.engines and spacer.never_in_a_step(part, target):
        return MEMORY.keep(key, Answer(ONE_STEP, Certificate("true")))
    found = _soon_excluded(part, target, soon, ask) if soon else _invariant(question, part, ask, until)
    return MEMORY.keep(key, found or Answer(seconds=until - begin))


def _soon_excluded(part: Model, target: Any, soon: float, ask: Ask) -> Answer | None:
    """What excludes a goal, where the fixed-point engine finds it in a few seconds."""
    found = (
        spacer.invariant(part, target, min(soon, ask.seconds / 4), looked=True) if spacer.NAME in ask.engines else None
    )
    return None if found is None or found is False else Answer(spacer.NAME, Certificate(text_of(found)))


def _invariant(question: Question, part: Model, ask: Ask, until: float) -> Answer | None:
    """What excludes a goal; None where no engine finds it, or one finds a way to the goal."""
    target = part.values[question.goal]
    if spacer.NAME in ask.engines and (left := until - time.monotonic()) > 0:
        found = spacer.invariant(part, target, min(left / 2, LONGEST_TRY), looked=ONE_STEP in ask.engines)
        if found is False:
            return None
        if found is not None:
            return Answer(spacer.NAME, Certificate(text_of(found)))
    if bounds.NAME in ask.engines and (left := until - time.monotonic()) > 0:
        ended = model_of(question, ended=True)
        found = bounds.invariant(ended, ended.values[question.goal], min(left / 2, LONGEST_TRY))
        if found is not None:
            return Answer(bounds.NAME, Certificate(text_of(bounds.of_endless(found, part, ended))))
    if induction.NAME in ask.engines and (left := until - time.monotonic()) > 0:
        steps = induction.proves(part, target, min(left / 4, LONGEST_TRY))
        if steps:
            return Answer(induction.NAME, Certificate("true", (), steps))
    return None


def _last(watched: Watched, part: Model, goal: str, ask: Ask, until: float, reason: str) -> Way | str:
    if bounded.NAME not in ask.engines:
        return reason
    way, why = _search(watched, part, goal, until - time.monotonic())
    return way if way is not None else why


def calmed(watched: Watched, required: Required, seen: Replay) -> Replay:
    """The same violation with no more happening than it takes, as the interpreter sees it; else as it was."""
    ordinary, own = usual(watched.plan), {row.name for row in watched.network.inputs}
    part = cone(watched.network, [required.bad])
    scans = calm(part, seen.scans, required.bad, ordinary, SHORTER)
    others = {name: value for name, value in ordinary.items() if name in own - {row.name for row in part.inputs}}
    if scans and CUT not in scans[0][1]:
        scans = ((scans[0][0], {**others, **scans[0][1]}), *scans[1:])
    return replay(watched.network, scans, required.bad) or seen


def _search(watched: Watched, part: Model, goal: str, seconds: float, deepest: int = DEEPEST) -> tuple[Way | None, str]:
    """The shortest way to a goal, as the interpreter sees it; of a violation the quickest, and what it takes of it."""
    broken = next((row for row in watched.required if row.bad == goal), None)
    found, depth = bounded.search(part, part.values[goal], deepest, seconds, shorten=SHORTER if broken else 0.0)
    if found is None:
        within = f", and nothing breaks it within {depth} step{'' if depth == 1 else 's'}" if depth else ""
        return None, f"no proof in the time given{within}; --limit gives more"
    steps = [(delay, {**whole, **readings}) for delay, whole, readings in found.steps]
    seen = replay(watched.network, changes(expand(steps, part.longest_ms)), goal)
    if seen is None:
        return None, "the solver's way to break it is none on the controller (its measured arithmetic is simplified)"
    if broken is not None:
        seen = calmed(watched, broken, seen)
    return Way(seen.scans, seen.at_ms), ""
