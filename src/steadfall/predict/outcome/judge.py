"""Judges a prediction by what the same plan comes to on finer grids."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from attrs import evolve

from steadfall.plan.model import Goal, Limit
from steadfall.predict.outcome.result import GoalResult, LimitResult, Prediction, Strain
from steadfall.predict.outcome.verdict import Finer, FinerGrid, verdict

Runs = Sequence[Prediction]
Grids = Sequence[FinerGrid]


def limit_margin(limit: Limit, worst: float | None) -> float:
    """What is left to a limit; endless where it never applied."""
    if worst is None:
        return math.inf
    return worst - limit.value if limit.bound == "at_least" else limit.value - worst


def goal_margin(goal: Goal, reached_ms: int | None) -> float:
    """The time that is left, in s; endlessly late where the goal is not reached."""
    return -math.inf if reached_ms is None else goal.within - reached_ms / 1000


def strain_margin(bound: float | None, value: float) -> float:
    """What is left to a rating; endless where the plan gives none."""
    return math.inf if bound is None else bound - value


def judged(result: Prediction, finer: Runs) -> Prediction:
    """The prediction with the figures of finer grids beside its own, and what follows from all of them."""
    grids = tuple(
        FinerGrid(one.settings.cells, one.settings.step, one.complete and one.books_close, one.ended)
        for one in finer
    )
    return evolve(
        result,
        limits=tuple(_limits(result, finer, grids)),
        goals=tuple(_goals(result, finer, grids)),
        strains=tuple(_strains(result, finer, grids)),
        finer=grids,
    )


def _limits(result: Prediction, finer: Runs, grids: Grids) -> Iterator[LimitResult]:
    for i, own in enumerate(result.limits):
        values = [one.limits[i].worst for one in finer]
        margins = [limit_margin(own.limit, value) for value in (own.worst, *values)]
        yield evolve(own, verdict=verdict(margins), finer=furthest(own.worst, values, grids))


def _goals(result: Prediction, finer: Runs, grids: Grids) -> Iterator[GoalResult]:
    for i, own in enumerate(result.goals):
        reached = [own.reached_ms, *(one.goals[i].reached_ms for one in finer)]
        margins = [goal_margin(own.goal, one) for one in reached]
        first, *values = (None if one is None else one / 1000 for one in reached)
        yield evolve(own, verdict=verdict(margins), finer=furthest(first, values, grids))


def _strains(result: Prediction, finer: Runs, grids: Grids) -> Iterator[Strain]:
    """A valve that closes on nothing on a finer grid has no hammer there."""
    for own in result.strains:
        same = [
            (other.value, grid)
            for one, grid in zip(finer, grids, strict=True)
            for other in one.strains
            if (other.about, other.what) == (own.about, own.what)
        ]
        values, on = [value for value, _ in same], [grid for _, grid in same]
        margins = [strain_margin(own.bound, value) for value in (own.value, *values)]
        yield evolve(own, verdict=verdict(margins), finer=furthest(own.value, values, on))


def furthest(own: float | None, values: Sequence[float | None], grids: Grids) -> Finer | None:
    """The figure of the finer grids that lies furthest from the one that is told; one that either lacks
    counts as furthest of all.
    """

    def distance(found: Finer) -> float:
        if own is None or found.value is None:
            return 0.0 if own is found.value else math.inf
        return abs(found.value - own)

    found = [Finer(value, grid) for value, grid in zip(values, grids, strict=True)]
    return max(found, key=distance, default=None)
