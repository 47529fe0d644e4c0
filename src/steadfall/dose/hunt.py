"""One search in a plan: coarse runs that stop early, then fine ones that judge what was found.

Rule of this file: a coarse figure is shifted by what the fine grids say of the same plan; where they refute a
find, the shift grows and the search goes on. Nothing is called found that the fine grids do not confirm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from steadfall.dose.aim import Aim, Score, best, chosen, keeping, nearest, score
from steadfall.dose.bound import PAST, Bound, adverse, missed, past
from steadfall.dose.judge import judge
from steadfall.dose.search import Search, search
from steadfall.dose.variable import Point, Variable, own, put
from steadfall.dose.work import Outcome, Task, ground, work
from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.verdict import Verdict
from steadfall.predict.run import coarse
from steadfall.progress import Progress
from steadfall.quantities import clock
from steadfall.workers import Crew

SPARE = 0.01  # of a bound's size, when the fine grids have refused it to a find once
Known = dict[Point, Outcome]


@frozen
class Wish:
    """What is looked for: the aim, in how many tries, from which seed."""

    aim: Aim = Aim.TIME
    tries: int = 1000
    seed: int = 1


@frozen
class Hands:
    """Who runs the tries, and who is told."""

    crew: Crew
    progress: Progress


@frozen
class Judged:
    """A point with its coarse outcome and what the fine grids say."""

    point: Point
    outcome: Outcome
    result: Prediction


class Hunt:
    """Keeps what is known while a search goes on, so that it can be left at any moment."""

    def __init__(self, plan: Plan, variables: Sequence[Variable], wish: Wish, hands: Hands) -> None:
        self.plan, self.variables, self.wish, self.hands = plan, tuple(variables), wish, hands
        self.ground = ground(plan, coarse(plan), self.variables)
        self.known: Known = {}
        self.shifts: dict[Bound, float] = {}  # by which the fine grids are beyond the coarse one
        self.margins: dict[Bound, float] = {}  # more that is to be left, so that the odds are met
        self.spare: dict[Bound, float] = {}  # and where the fine grids refused what seemed to keep it
        self.judged: dict[Point, Judged] = {}
        self.refused: set[Point] = set()  # kept in one run, but not in nearly all round it

    def own(self) -> Judged:
        """The plan's own numbers; from here on coarse figures are shifted by what the fine grids say."""
        point = own(self.plan, self.variables)
        self.known.update(work(Task(self.ground, (point,), stops=False)))
        return self.judge(point)

    def judge(self, point: Point) -> Judged:
        """What the fine grids say of a point; coarse figures are judged more strictly by it from here on."""
        result = judge(put(self.plan, self.variables, point), self.hands.crew, self.hands.progress)
        self.shifts = stricter(self.shifts, self.known[point], told(result))
        self.judged[point] = Judged(point, self.known[point], result)
        return self.judged[point]

    def refuse(self, find: Judged) -> None:
        """Let more be left of what a find does not keep on the fine grids, twice as much each time: finds at
        the very edge would be refused one after the other.
        """
        for bound, figure in told(find.result).items():
            if bound.over(figure) > 0.0:
                by = 2.0 * abs(self.spare.get(bound, 0.0)) or SPARE * bound.size
                self.spare[bound] = -by if bound.least else by

    def asked(self) -> dict[Bound, float]:
        """What is to be added to a coarse figure: what the fine grids say, margins, and what was refused."""
        parts = self.shifts, self.margins, self.spare
        return {one: sum(part.get(one, 0.0) for part in parts) for part in parts for one in part}

    def best(self) -> Point | None:
        """The best point of those that the fine grids confirm, or have not judged yet."""
        return chosen(self._good(), self.wish.aim)

    def _good(self) -> Known:
        """The points that the fine grids confirm, or have not judged yet."""
        return {**self._fresh(self.known), **self.confirmed()}

    def _fresh(self, known: Known) -> Known:
        """The points of some that keep every bound and that the fine grids have not judged yet."""
        fresh = {point: one for point, one in known.items() if point not in self.judged}
        return keeping(fresh, self.asked())

    def confirmed(self) -> Known:
        """The points that the fine grids confirm with the margins, but for those that the odds refuse."""
        kept = (one for one in self.judged.values() if one.result.verdict is Verdict.KEPT)
        return {one.point: one.outcome for one in kept if one.point not in self.refused and self._roomy(one)}

    def _roomy(self, one: Judged) -> bool:
        """Whether it leaves the margins."""
        seen = adverse(one.result) if self.margins else {}
        return all(bound.over(seen[bound] + by) <= 0.0 for bound, by in self.margins.items())

    def look(self, first: Sequence[Point], tries: int, shifts: Mapping[Bound, float] | None = None) -> None:
        """Try so many points, beginning with some."""
        shifts = dict(self.asked() if shifts is None else shifts)
        here: Known = {}

        def attempt(points: Sequence[Point]) -> dict[Point, Score]:
            fresh = [point for point in points if not self._settles(point, shifts)]
            here.update({point: self.known[point] for point in points if point not in fresh})
            here.update(self.run(fresh, shifts, (len(here), tries)))
            return {point: score(here[point], self.wish.aim, shifts) for point in points}

        parts = 3 if self.wish.aim is Aim.BALANCE else 1
        counts = tuple(len(one.values) for one in self.variables)
        where = Search(counts, tuple(first), tries, parts, self.wish.seed)

        def ahead() -> Point | None:
            return best(here, self.wish.aim, shifts) or (nearest(here, shifts) if here else None)

        search(where, attempt, ahead)

    def _settles(self, point: Point, shifts: Mapping[Bound, float]) -> bool:
        """Whether the point was run, and not stopped by what would let it pass now."""
        one = self.known.get(point)
        if one is None:
            return False
        broken = one.broken
        return broken is None or broken.over(one.figures[broken] + shifts.get(broken, 0.0)) > 0.0

    def run(
        self,
        points: Sequence[Point],
        shifts: Mapping[Bound, float],
        done: tuple[int, int],
        *,
        stops: bool = True,
    ) -> Known:
        """Run points on all hands, and keep what comes of them."""
        base = Task(self.ground, (), dict(shifts), stops)
        tasks = [evolve(base, points=(point,)) for point in points]
        found: Known = {}
        good = self._good()  # kept while outcomes come: to look through all that is known takes its time
        for outcomes in self.hands.crew.each(work, tasks):
            found.update(outcomes)
            kept = dict(outcomes) if stops else keeping(dict(outcomes), shifts)
            self.known.update(kept)
            good.update(self._fresh(kept))
            self.hands.progress.step(done[0] + len(found), done[1], self._words(good))
        return found

    def _words(self, good: Known) -> str:
        """The best of what is good so far."""
        point = chosen(good, self.wish.aim)
        if point is None:
            return "tried; none keeps every limit so far"
        one = good[point]
        return f"tried; best {clock(1000 * one.time)}, {one.water:.0f} kg, {one.openings} openings"


def told(result: Prediction) -> dict[Bound, float]:
    """What the grids say of every bound; of a missed goal its time says nothing, but how near it came."""
    found = {bound: figure for bound, figure in adverse(result).items() if bound not in missed(result)}
    return found | ({PAST: past(result)} if result.plan.done else {})


def stricter(
    shifts: Mapping[Bound, float], rough: Outcome, judged: Mapping[Bound, float]
) -> dict[Bound, float]:
    """Shifts by which coarse figures come to what the fine grids say, and never to less than before; of a
    goal that was not reached they say nothing.
    """
    found = dict(shifts)
    for bound, figure in judged.items():
        seen = math.nan if bound in rough.missed else rough.figures.get(bound, math.nan)
        if math.isfinite(seen) and math.isfinite(figure):
            by = figure - seen
            before = found.get(bound, by)
            found[bound] = min(before, by) if bound.least else max(before, by)
    return found
