"""The requirements of a plan held against each of its faults, alone.

Rule of this file: a fault of an input only leaves out what that input may do. Every proof leaves every input
free, so what is proved without the fault holds with it too, and no solver is asked; runs under the fault show
what still applies. A power cut adds steps. A certificate that a cut keeps as well is one with
power cuts; where a cut does not keep it, the requirement is decided anew.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Fault, Plan
from steadfall.plan.problems import Problems
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.each import each_verdict
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED, UNKNOWN, UnderFault, Verdict
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.requirements.faults import together
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.whole.cuts import by_certificate, kept_by_cuts
from steadfall.prove.whole.run import Work, named
from steadfall.source import PlanError

RUNS_OF_A_FAULT = 6


def under_faults(plan: Plan, network: Network | None, work: Work, own: Hands) -> Iterator[UnderFault]:
    """What each fault of the plan changes in the verdicts without faults, one after the other."""
    for number, fault in enumerate(plan.faults):
        work.progress.step(number, len(plan.faults), f"with {fault.phrase}")
        yield _under(watched(plan, network, together(plan, [fault])), fault, work, own)


def check_names(of: Watched) -> None:
    """What may break under a fault is the name of a requirement; raises PlanError."""
    problems, known = Problems(), [row.name for row in of.required]
    for fault in of.plan.faults:
        for place, word in enumerate(fault.may_break):
            if not any(named(name, word) for name in known):
                mark = fault.at.of(f"may_break.{place}")
                problems.unknown(mark, "may_break", word, "requirement", known)
    if problems:
        raise PlanError(problems.found(), of.plan.text)


def _under(of: Watched, fault: Fault, work: Work, own: Hands) -> UnderFault:
    begin = time.monotonic()
    proved = [row for row in work.proof().verdicts if row.verdict == PROVED and row.certificate]
    found = _with_cuts(of, proved, work.ask, own) if of.faults.power_cut else narrowed(of, proved, own)
    allowed = tuple(row.required.name for row in proved if may_break(fault, row.required.name))
    found = evolve(found, allowed=allowed, mark=fault.at.of("fault"), seconds=time.monotonic() - begin)
    return with_sentences(found, of)


def with_sentences(found: UnderFault, of: Watched) -> UnderFault:
    """What is kept in words: as it holds with the fault, which may be less than without."""
    said = {row.name: row.sentence for row in of.required}
    return evolve(found, sentences=tuple(said[name] for name in found.kept))


def may_break(fault: Fault, name: str) -> bool:
    """Whether the plan lets a requirement break under a fault."""
    return any(named(name, word) for word in fault.may_break)


def narrowed(of: Watched, proved: Sequence[Verdict], own: Hands) -> UnderFault:
    """The proofs cover the fault; runs under it show what applies, or that a proof is wrong."""
    seen = own.one(_few_runs, of, [row.required for row in proved])
    quiet = tuple(row.required.name for row in proved if seen[row.required.name].witness is None)
    note = "a run under the fault breaks it although it is proved: one of the two is wrong"
    broken = tuple(
        evolve(row, verdict=UNKNOWN, certificate=None, notes=(note,))
        for row in proved
        if seen[row.required.name].violation
    )
    kept = tuple(row.required.name for row in proved if not seen[row.required.name].violation)
    return UnderFault(of.faults.phrases[0], kept=kept, verdicts=broken, quiet=quiet, runs=RUNS_OF_A_FAULT)


def _few_runs(of: Watched, rows: Sequence[Required]) -> dict[str, Simulated]:
    return simulate(of, rows, RUNS_OF_A_FAULT)


def _with_cuts(of: Watched, proved: Sequence[Verdict], ask: Ask, own: Hands) -> UnderFault:
    kept = {name for names in own.each(kept_by_cuts, of, by_certificate(proved, ask)) for name in names}
    anew = [row for row in proved if row.required.name not in kept]
    seen = {row.required.name: Simulated(row.witness) for row in anew}
    found = {
        verdict.required.name: verdict
        for verdict in each_verdict(of, [row for row in of.required if row.name in seen], ask, seen, own)
    }
    verdicts = tuple(found[row.required.name] for row in anew)
    return UnderFault(
        of.faults.phrases[0], kept=tuple(row for row in _names(proved) if row in kept), verdicts=verdicts
    )


def _names(verdicts: Sequence[Verdict]) -> Iterator[str]:
    return (row.required.name for row in verdicts)
