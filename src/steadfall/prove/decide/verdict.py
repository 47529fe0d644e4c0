"""The verdict on one requirement: what excludes that it is broken, or how it is, and a moment at which it is
at work.

Rule of this file: nothing is called proved without a certificate and a witness, nothing refuted that the
interpreter does not replay. What no engine settles within its budget is unknown, with the reason.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import Any

from attrs import evolve

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import RUNS, Ask
from steadfall.prove.decide.before.cache import MEMORY
from steadfall.prove.decide.by_lemmas import Settled
from steadfall.prove.decide.certificate import Certificate, text_of
from steadfall.prove.decide.portfolio import Shown, settle
from steadfall.prove.decide.result import ITS_VIOLATION, PROVED, REFUTED, UNKNOWN, VACUOUS, Verdict, run_json
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.ways import far_on, minimised, shortest
from steadfall.prove.engines import bounded
from steadfall.prove.lemmas import found as lemmas
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs import far
from steadfall.prove.runs.rig import rig
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.step import model
from steadfall.runs.run import Run

SOON = 12_000_000  # units of work, for what is quickly found or not at all
SOONER = 4_000_000  # for a shorter way than one that runs have shown
BY_A_RUN = "found by a run; there may be a shorter one"  # a note
NOT_CONFIRMED = "cvc5 does not confirm the certificate"  # another
A_LITTLE_FAR = 200_000  # steps of runs that jump: a quarter of a second
DEPTH_OF_A_CUT = 8  # steps within which a power cut breaks most of what it breaks


def decide(
    watched: Watched, required: Required, ask: Ask, seen: Simulated, known: Settled | None = None
) -> Verdict:
    """The verdict on one requirement; `known`: what lemmas say of it."""
    begin, earlier = time.monotonic(), 0.0 if known is None else known.seconds
    if known is not None and seen.violation is None:
        verdict = _by_lemmas(watched, required, ask, seen, known)
        return evolve(verdict, seconds=earlier + time.monotonic() - begin)
    verdict = _decide(watched, required, ask, seen, Budget(ask.effort))
    if verdict.certificate and ask.recheck:
        passed = check_again(watched, verdict)
        verdict = evolve(verdict if passed else not_passed(verdict, NOT_CONFIRMED), rechecked=passed)
    return evolve(verdict, seconds=time.monotonic() - begin)


def not_passed(verdict: Verdict, why: str) -> Verdict:
    """What is left of a verdict that does not pass when it is checked again."""
    return evolve(verdict, verdict=UNKNOWN, rechecked=False, notes=(why,))


def check_again(watched: Watched, verdict: Verdict) -> bool:
    """Asks cvc5 the three questions of a stored certificate, on the network as the plan gives it now."""
    kept = verdict.certificate
    assert isinstance(kept, Certificate)  # noqa: S101 - asked by callers
    required = verdict.required
    goal = required.bad if verdict.verdict == PROVED else required.exercised
    freed = frozenset(kept.freed)
    found = watched.canonical(cone(watched.network, [goal], lambda name: name in freed), goal)
    return MEMORY.confirmed(found.question, Certificate(found.take_out(kept.invariant)))


def _decide(watched: Watched, required: Required, ask: Ask, seen: Simulated, budget: Budget) -> Verdict:
    blank = Verdict(required, UNKNOWN, witness=seen.witness)
    if seen.violation is not None:
        return _refuted_by_run(watched, blank, ask, seen.violation, budget.part(ask.effort // 2))
    found = _broken_by_a_cut(watched, required, ask) or settle(watched, required, required.bad, ask, budget)
    if isinstance(found, Run):
        return evolve(
            blank, verdict=REFUTED, engine=bounded.NAME, way=found, witness=blank.witness or _self(found)
        )
    if isinstance(found, Shown):
        refuted = _refuted_by_run(watched, blank, ask, found.run, Budget(SOONER))
        return evolve(refuted, engine=found.engine) if refuted.engine == RUNS else refuted
    if not isinstance(found, tuple):
        return evolve(blank, notes=(found,))
    kept = evolve(blank, verdict=PROVED, engine=found[0], certificate=found[1])
    if seen.witness is not None:
        return evolve(kept, notes=notes_of(kept))
    return _with_witness(watched, kept, ask)


def _by_lemmas(watched: Watched, required: Required, ask: Ask, seen: Simulated, known: Settled) -> Verdict:
    kept = Verdict(required, PROVED, lemmas.NAME, certificate=known.certificate, witness=seen.witness)
    kept = evolve(kept, rechecked=known.rechecked)
    if known.rechecked is False:
        return not_passed(kept, NOT_CONFIRMED)
    if seen.witness is not None:
        return evolve(kept, notes=notes_of(kept))
    found = _with_witness(watched, kept, ask)
    if found.verdict == VACUOUS and ask.recheck:
        passed = check_again(watched, found)
        return evolve(found if passed else not_passed(found, NOT_CONFIRMED), rechecked=passed)
    return found


def _broken_by_a_cut(watched: Watched, required: Required, ask: Ask) -> Run | None:
    """A violation soon after a power cut; most of what a cut breaks it breaks at once."""
    if not watched.faults.power_cut or bounded.NAME not in ask.engines:
        return None
    part = watched.searched(cone(watched.network, [required.bad]))
    return shortest(watched, part, required.bad, _little(ask), DEPTH_OF_A_CUT)[0]


def _little(ask: Ask) -> Budget:
    """The work for what is quickly found or not at all."""
    return Budget(min(SOON, ask.effort // 4))


def _self(way: Run) -> Mapping[str, Any]:
    return {"at_ms": way.end_ms, "by": ITS_VIOLATION}


def notes_of(verdict: Verdict) -> tuple[str, ...]:
    """What is said of a verdict that rests on a certificate."""
    if verdict.verdict == VACUOUS:
        occasion = verdict.required.occasion
        what = f"'{occasion}'" if occasion else "what it begins with"
        return (f"vacuous: {what} can never be",)
    freed = verdict.certificate.freed if verdict.certificate else ()
    return (f"whatever {', '.join(freed)} may do",) if freed else ()


def _with_witness(watched: Watched, proved: Verdict, ask: Ask) -> Verdict:
    """Looks for a moment at which a proved requirement applies."""
    required = proved.required
    goal = required.exercised
    found = (
        _a_little_far(watched, goal, ask)
        or _soon(watched, goal, ask)
        or settle(watched, required, goal, ask, Budget(ask.effort))
    )
    if isinstance(found, str):
        found = _never_by_lemmas(watched, goal, ask) or found
    if isinstance(found, Run | Shown):
        run, by = (found, bounded.NAME) if isinstance(found, Run) else (found.run, found.engine)
        witness = {"by": by, **run_json(run, "at_ms")}
        return evolve(proved, witness=witness, notes=notes_of(proved))
    if isinstance(found, tuple):
        vacuous = evolve(proved, verdict=VACUOUS, engine=found[0], certificate=found[1])
        return evolve(vacuous, notes=notes_of(vacuous))
    return evolve(
        proved, verdict=UNKNOWN, certificate=None, notes=("nothing breaks it, but no run exercises it",)
    )


def _never_by_lemmas(watched: Watched, goal: str, ask: Ask) -> tuple[str, Certificate] | None:
    """A certificate that nothing ever exercises a requirement, where lemmas exclude it."""
    if lemmas.NAME not in ask.engines:
        return None
    part, cuts = cone(watched.network, [goal]), watched.faults.power_cut
    single = model(part, watched.plan.scan.longest_ms, power_cut=cuts, single=True)
    found = lemmas.lemmas(single, [goal], lambda: rig(watched.plan, part), ask.effort, power_cut=cuts)
    if goal not in found.which:
        return None
    own = " ".join(text_of(found.lemmas[place]) for place in found.which[goal])
    return lemmas.NAME, Certificate(f"(and true {own})")


def _a_little_far(watched: Watched, goal: str, ask: Ask) -> Shown | None:
    """A way to a goal behind long stays, where runs soon come to it: a search by steps takes far longer."""
    run = far_on(watched, goal, A_LITTLE_FAR) if far.NAME in ask.engines else None
    return None if run is None else Shown(run, far.NAME)


def _soon(watched: Watched, goal: str, ask: Ask) -> Run | None:
    """A way to a goal that takes few steps: most can be reached, and this is quicker than to ask whether."""
    if bounded.NAME not in ask.engines:
        return None
    part = watched.searched(cone(watched.network, [goal]))
    return shortest(watched, part, goal, _little(ask))[0]


def _refuted_by_run(watched: Watched, blank: Verdict, ask: Ask, run: Run, budget: Budget) -> Verdict:
    """A violation that a run has shown, and a shorter one where the bounded search finds it soon."""
    required = blank.required
    if bounded.NAME in ask.engines:
        full = watched.searched(cone(watched.network, [required.bad]))
        way, _ = shortest(watched, full, required.bad, budget.part(SOON))
        if isinstance(way, Run):
            return evolve(
                blank, verdict=REFUTED, engine=bounded.NAME, way=way, witness=blank.witness or _self(way)
            )
    seen = minimised(watched, required, run)
    if seen is None:
        return evolve(blank, notes=("a run of the fast machine broke it and the interpreter did not",))
    way = seen.run
    return evolve(
        blank, verdict=REFUTED, engine=RUNS, way=way, notes=(BY_A_RUN,), witness=blank.witness or _self(way)
    )
