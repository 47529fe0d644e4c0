"""Every requirement of a plan, decided on two processes while the caller is told how far it is."""

from __future__ import annotations

import time
from collections.abc import Sequence

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.progress import SILENT, Cancelled, Progress
from steadfall.prove.decide.ask import RUNS, Ask
from steadfall.prove.decide.processes import each_verdict
from steadfall.prove.decide.result import NOT_TRIED, UNKNOWN, Proof, Verdict
from steadfall.prove.decide.simulation import simulate
from steadfall.prove.requirements.faults import Faults
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.source import NOWHERE, PlanError

WORKERS = 2


def prove(
    plan: Plan,
    only: Sequence[str] = (),
    ask: Ask | None = None,
    progress: Progress = SILENT,
    *,
    faults: Faults | None = None,
    network: Network | None = None,
    workers: int = WORKERS,
) -> Proof:
    """The verdicts on a plan's requirements, or on those whose name begins with one of some words.

    `network` is what the controller does, where that is not the plan's own logic.
    """
    begin, how = time.monotonic(), ask or Ask()
    of = watched(plan, network, faults)
    chosen = pick(of, only)
    verdicts: dict[str, Verdict] = {}
    stopped = False
    try:
        for verdict in each_verdict(
            of, chosen, how, lambda: simulate(of, chosen) if RUNS in how.engines else {}, workers
        ):
            verdicts[verdict.required.name] = verdict
            progress.step(len(verdicts), len(chosen), verdict.required.sentence)
    except (KeyboardInterrupt, Cancelled):
        stopped = True
    rows = tuple(verdicts.get(one.name, Verdict(one, UNKNOWN, notes=(NOT_TRIED,))) for one in chosen)
    return Proof(plan.title, plan.digest, rows, time.monotonic() - begin, of.faults.phrases, stopped)


def pick(of: Watched, only: Sequence[str]) -> tuple[Required, ...]:
    """The requirements asked for: by name, or by the words that a name begins with; raises PlanError."""
    problems, known = Problems(), [one.name for one in of.required]
    for word in only:
        if not any(named(name, word) for name in known):
            problems.unknown(NOWHERE, "--only", word, "requirement of this plan", known)
    if problems:
        raise PlanError(problems.found())
    return tuple(one for one in of.required if not only or any(named(one.name, word) for word in only))


def named(name: str, word: str) -> bool:
    """Whether a word stands for a requirement: its name, or a whole part of it such as a circuit or valve."""
    return f".{word}." in f".{name}."
