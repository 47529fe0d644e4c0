"""Every requirement of a plan, decided on two processes while the caller is told how far it is."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

from attrs import define, evolve, field

from steadfall.interrupt import ending
from steadfall.logic.network import Network
from steadfall.plan.meaning.names import word
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.progress import SILENT, Cancelled, Progress
from steadfall.prove.decide.ask import RUNS, Ask
from steadfall.prove.decide.before.seen_before import keep_seen, seen_again
from steadfall.prove.decide.each import alike, each_verdict
from steadfall.prove.decide.processes import AtTheLimit, Hands, Patience, hands
from steadfall.prove.decide.result import AT_THE_LIMIT, NOT_TRIED, PROVED, UNKNOWN, Proof, Verdict
from steadfall.prove.decide.simulation import Simulated, simulate
from steadfall.prove.requirements.faults import Faults
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.source import PlanError

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
    limit: float | None = None,
) -> Proof:
    """The verdicts on a plan's requirements, or on those whose name begins with one of some words.

    `network` is what the controller does, where that is not the plan's own logic. With one worker all is done
    in this process, but where there is a limit. `limit`: seconds after which what is not settled is left
    unknown.
    """
    waits = patience(progress, limit)
    work = Work(watched(plan, network, faults), only, ask or Ask(), progress)
    with stopping(work), hands(work.many(workers, limit), waits) as own:
        work.decide(own)
    return work.proof()


def patience(progress: Progress, limit: float | None) -> Patience:
    """How long to go on, from now."""
    return Patience(progress, math.inf if limit is None else time.monotonic() + limit)


@define(eq=False)
class Work:
    """The proof of a plan while it is made: what is settled so far, and why it was stopped."""

    of: Watched
    only: Sequence[str]
    ask: Ask
    progress: Progress
    chosen: tuple[Required, ...] = field(init=False)
    verdicts: dict[str, Verdict] = field(factory=dict)
    stopped: str = ""
    begun: float = field(factory=time.monotonic)

    def __attrs_post_init__(self) -> None:
        self.chosen = pick(self.of, self.only)

    def many(self, workers: int, limit: float | None = None) -> int:
        """How many processes have something to do; 0 where it is done in this one, which cannot be ended."""
        least = 0 if limit is None else 1
        return min(workers, len(alike(self.of, self.chosen))) if workers > 1 else least

    def decide(self, own: Hands) -> None:
        """Decides every requirement: on the runs that an earlier run of the program has named, where all is
        proved with these; else on all runs.
        """
        again = own.one(seen_again, self.of, (self.chosen, self.ask))
        if again is not None:
            self._each(again, own)
            if self._all_proved:
                return
        seen = own.one(simulate, self.of, self.chosen) if RUNS in self.ask.engines else {}
        self._each(seen, own)
        if self._all_proved:
            own.one(keep_seen, self.of, (self.chosen, self.ask, seen))

    def _each(self, seen: Mapping[str, Simulated], own: Hands) -> None:
        for verdict in each_verdict(self.of, self.chosen, self.ask, seen, own):
            self.verdicts[verdict.required.name] = verdict
            self.progress.step(len(self.verdicts), len(self.chosen), verdict.required.sentence)

    @property
    def _all_proved(self) -> bool:
        return all(verdict.verdict == PROVED for verdict in self.verdicts.values())

    def proof(self) -> Proof:
        """What is settled by now."""
        rows = tuple(self.verdicts.get(one.name) or self._left(one) for one in self.chosen)
        plan, seconds = self.of.plan, time.monotonic() - self.begun
        left_out = tuple(name for name in self.of.left_out if asked_for(name, self.only))
        made = Proof(plan.title, plan.digest, rows, seconds, self.of.faults.phrases, bool(self.stopped))
        return evolve(made, left_out=left_out, interrupted=self.stopped == NOT_TRIED)

    def _left(self, one: Required) -> Verdict:
        return Verdict(one, UNKNOWN, notes=(self.stopped,))


@contextmanager
def stopping(work: Work) -> Iterator[None]:
    """Keeps what is settled when somebody stops it, or at the limit."""
    try:
        yield
    except AtTheLimit:
        work.stopped = AT_THE_LIMIT
    except (KeyboardInterrupt, Cancelled):
        ending()
        work.stopped = NOT_TRIED


def pick(of: Watched, only: Sequence[str]) -> tuple[Required, ...]:
    """The requirements asked for: by name, or by the words that a name begins with; raises PlanError."""
    problems, known = Problems(), [*(one.name for one in of.required), *of.left_out]
    for typed in only:
        if not any(named(name, typed) for name in known):
            problems.asked("--only", typed, "requirement of this plan", known)
    if problems:
        raise PlanError(problems.found())
    return tuple(one for one in of.required if asked_for(one.name, only))


def asked_for(name: str, only: Sequence[str]) -> bool:
    """Whether a requirement is among those asked for; of no words all are."""
    return not only or any(named(name, typed) for typed in only)


def named(name: str, typed: str) -> bool:
    """Whether what was typed stands for a requirement: its name, a whole part of it such as a circuit or
    valve, or a name or title as the plan has it.
    """
    return any(f".{one}." in f".{name}." for one in (typed, ".".join(map(word, typed.split(".")))))
