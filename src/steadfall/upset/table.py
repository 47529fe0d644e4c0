"""The table: every failure at every moment, worst first; searched on the coarse grid, judged on the fine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import nullcontext
from itertools import pairwise

from attrs import evolve, field, frozen

from steadfall.interrupt import ending
from steadfall.plan.model import Plan
from steadfall.predict.inputs.scenario import course
from steadfall.predict.inputs.told import told
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import coarse, fine, start
from steadfall.progress import Cancelled, Progress
from steadfall.quantities import METRIC, Units
from steadfall.upset.alike import stand_ins
from steadfall.upset.failures import Failure, Guide, upsets
from steadfall.upset.judge import Beside, broken, harm, near, refined, severity
from steadfall.upset.moments import When, circuit_of, moments
from steadfall.upset.outcome import Figure, Harm, Outcome
from steadfall.upset.work import Start, Starting, Task, Trial, Tried, Usual, ready, trials, work
from steadfall.workers import Crew, Packed, staying


@frozen
class Row:
    """A failure that begins at a moment, and what comes of it."""

    failure: Failure
    when: When
    outcome: Outcome
    broken: tuple[Figure, ...]
    harm: Harm
    fine: bool  # it was run again on the fine grid
    same: bool  # the run is that of the same failure at the next moment
    accepted: str = ""  # why the plan leaves it so, should it go unseen

    @property
    def name(self) -> str:
        """As a person calls it."""
        return f"{self.failure.name} {self.when.words}"

    @property
    def unseen(self) -> bool:
        """It does harm and nothing notices it."""
        return self.harm is not Harm.NONE and self.outcome.notice is None

    @property
    def open(self) -> bool:
        """It breaks a limit or a rating or leaves water, unseen, and the plan does not say why it may."""
        return self.unseen and self.harm is not Harm.GOAL and not self.accepted


@frozen
class Table:
    """Every row, worst first."""

    plan: Plan
    nominal: Outcome  # nothing fails, on the fine grid
    rows: tuple[Row, ...]
    tried: int
    wanted: int
    stopped: bool = False  # by Ctrl-C: there are rows that were not tried, or not judged
    stand_ins: Mapping[str, tuple[str, ...]] = field(factory=dict)
    units: Units = METRIC  # in which a person reads it

    @property
    def good(self) -> bool:
        """No single failure breaks a limit or a rating or leaves water unseen, but those that the plan
        accepts with a reason; and all were tried.
        """
        return not self.stopped and not any(row.open for row in self.rows)

    @property
    def needless(self) -> tuple[str, ...]:
        """Failures that the plan accepts though they do no harm unseen."""
        tried = {row.failure.name for row in self.rows}
        unseen = {row.failure.name for row in self.rows if row.unseen and row.harm is not Harm.GOAL}
        return tuple(one.failure for one in self.plan.accepted if one.failure in tried - unseen)

    def worst(self, most: int) -> list[Row]:
        """The worst rows that do harm, one a failure."""
        first = {row.failure.name: row for row in reversed(self.rows) if row.harm is not Harm.NONE}
        return [row for row in self.rows if first.get(row.failure.name) is row][:most]


class _Search:
    """What is known so far; every step may be the last."""

    def __init__(self, plan: Plan, chosen: Sequence[Failure], progress: Progress) -> None:
        self.plan, self.chosen, self.progress = plan, tuple(chosen), progress
        self.rough: list[Tried] = []
        self.exact: list[Tried] = []
        self.coarse: Start | None = None
        self.fine: Start | None = None

    def go(self, crew: Crew) -> None:
        """Try all on the coarse grid, and what is near a bound then on the fine one."""
        self.progress.step(0, None, "nothing fails")
        self.coarse = Starting(self.plan, coarse(self.plan), self.chosen).work()
        fine_start = Starting(self.plan, fine(self.plan), self.chosen)  # it is not needed before the end
        trials = self.coarse.trials
        tasks = self._tasks(trials, self.coarse.usual, crew.many)
        self._work(crew, [fine_start, *tasks], self.rough, _count(trials), "failures tried")
        if self.fine is not None:
            beside = Beside(self.coarse.usual.outcome, self.fine.usual.outcome)
            again = _again(self.fine.trials, self.rough, beside)
            tasks = self._tasks(again, self.fine.usual, crew.many)
            self._work(crew, tasks, self.exact, _count(again), "failures run again on the fine grid")

    def told(self, *, stopped: bool) -> Table:
        """What is known. Raises Cancelled where that is nothing."""
        if self.coarse is None or self.fine is None:
            raise Cancelled
        plan, beside = self.plan, Beside(self.coarse.usual.outcome, self.fine.usual.outcome)
        rows = _rows(plan, self.chosen, self.rough, self.exact, beside)
        if stopped:
            rows = [row for row in rows if row.fine or not near(row.outcome, beside)]
        wanted = _count(self.coarse.trials)
        return Table(plan, beside.fine, tuple(rows), len(rows), wanted, stopped, stand_ins(plan))

    def _tasks(self, trials: Sequence[Trial], usual: Usual, many: int) -> list[Task]:
        tasks = [Task(self.plan, Packed.of(usual.at(group)), group) for group in _alike(trials, many)]
        others = _others(trials)
        apart = Packed.of(usual.alone().at(others))
        return tasks + [Task(self.plan, apart, (one,)) for one in others]

    def _work(
        self, crew: Crew, tasks: Sequence[Task | Starting], into: list[Tried], total: int, words: str
    ) -> None:
        """Work tasks off and keep what comes, as it comes."""
        for done in crew.each(work, tasks):
            if isinstance(done, Start):
                self.fine = done
            else:
                into += done
                self.progress.step(len(into), total, words)


def _count(trials: Iterable[Trial]) -> int:
    """How many rows they give."""
    return sum(len(one.whens) for one in trials)


def _alike(trials: Sequence[Trial], many: int) -> list[tuple[Trial, ...]]:
    """The trials that share, a task for each process: they share within a task only, and most of all with
    those that stand beside them in the plan.
    """
    shared = [one for one in trials if one.failure.of_inputs]
    ends = [len(shared) * k // many for k in range(many + 1)]
    return [tuple(shared[a:b]) for a, b in pairwise(ends) if a < b]


def _others(trials: Sequence[Trial]) -> list[Trial]:
    """The trials that share nothing, the longest first: a slow one at the end keeps everybody waiting. What
    is missing changes most, what comes late least: so the guide words stand in their order.
    """
    others = [one for one in trials if not one.failure.of_inputs]
    words = list(Guide)
    return sorted(others, key=lambda one: (-len(one.whens), words.index(one.failure.guide)))


def table(plan: Plan, chosen: Sequence[Failure], crew: Crew, progress: Progress) -> Table:
    """Try the chosen failures; after Ctrl-C, what is known by then."""
    search = _Search(plan, chosen, progress)
    try:
        with staying(crew, ready) if len(chosen) > 1 else nullcontext(crew) as hands:  # they begin meanwhile
            search.go(hands)
    except (KeyboardInterrupt, Cancelled):
        ending()
        return search.told(stopped=True)
    return search.told(stopped=False)


def _again(trials: Iterable[Trial], rough: Iterable[Tried], beside: Beside) -> list[Trial]:
    """What is to be run again: at the same moments, by what happens in the fine run."""
    open_ = {(one.failure, one.when.words) for one in rough if near(refined(one.outcome, beside), beside)}
    kept = (
        Trial(one.failure, tuple(when for when in one.whens if (one.failure.name, when.words) in open_))
        for one in trials
    )
    return [one for one in kept if one.whens]


def _rows(
    plan: Plan, chosen: Sequence[Failure], rough: Iterable[Tried], exact: Iterable[Tried], beside: Beside
) -> list[Row]:
    why = {one.failure: one.because for one in plan.accepted}
    known = {one.name: one for one in chosen}
    order = {name: place for place, name in enumerate(known)}
    better = {(one.failure, one.when.words): one for one in exact}
    rows = []
    for one in rough:
        judged = better.get((one.failure, one.when.words))
        last = judged or one
        found = last.outcome if judged else refined(one.outcome, beside)
        bounds = broken(found, beside.fine)
        worst = harm(found, bounds, beside.fine)
        reason = why.get(one.failure, "")
        fine = judged is not None
        rows.append(Row(known[one.failure], last.when, found, bounds, worst, fine, last.same, reason))
    key = {id(row): severity(row.outcome, row.broken, beside.fine) for row in rows}

    def worst_first(row: Row) -> tuple[object, ...]:
        kind, share = key[id(row)]
        seen = row.outcome.notice is not None
        return kind, seen, round(share, 6), order[row.failure.name], row.when.time_ms

    return sorted(rows, key=worst_first)


def names(
    plan: Plan, chosen: Iterable[Failure], settings: Settings, progress: Progress
) -> dict[str, tuple[Failure, str]]:
    """Every row by its name: the failure, and the words of its moment."""
    nominal = start(plan, course(plan), settings).through(progress)
    return {
        f"{trial.failure.name} {when.words}": (trial.failure, when.words)
        for trial in trials(plan, chosen, nominal)
        for when in trial.whens
    }


def shown(plan: Plan, failure: Failure, words: str, settings: Settings, progress: Progress) -> Prediction:
    """The whole run of a failure that begins at a moment, by the words of the moment."""
    run = course(plan)
    nominal = start(plan, run, settings).through(progress)
    when = next(one for one in moments(nominal, circuit_of(plan, failure)) if one.words == words)
    wrong = upsets(plan, failure, when.time_ms)
    remarks = (*run.remarks, *(told(plan, one) for one in failure.at(when.time_ms)))
    failing = evolve(run, name=f"{failure.name} {words}", upsets=wrong, remarks=remarks)
    return start(plan, failing, settings).through(progress)
