"""What a cool-down must keep: limits, ratings and goals as one list, each with how far beyond it a run is.

Rule of this file: how far beyond is a share of the bound's own size, so that a bar and a kelvin can be added.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import StrEnum

from attrs import frozen

from steadfall.constants import ATMOSPHERE
from steadfall.plan.meaning.names import quantities
from steadfall.plan.meaning.rates import by_second
from steadfall.plan.model import Goal, Limit, Plan
from steadfall.predict.outcome.result import GoalResult, LimitResult, Load, Prediction, Strain

KELVINS = 50.0  # the size of a temperature, which has no zero to be measured from


class Sort(StrEnum):
    """What kind of bound."""

    LIMIT = "limit"
    RATING = "rating"
    GOAL = "goal"


@frozen
class Bound:
    """A limit, a rating or a goal: what it is about, its value in SI, and its own size."""

    sort: Sort
    about: str
    text: str
    value: float
    size: float
    dimension: str  # of the value, as `dimensions` has it
    least: bool = False  # at least so much, not at most
    by_second: bool = False  # a rate that is read by the second

    def over(self, figure: float) -> float:
        """How far a figure is beyond it, in shares of its size; below 0 what is left."""
        if math.isnan(figure):
            return -math.inf  # it never applied
        return (self.value - figure if self.least else figure - self.value) / self.size


Figures = Mapping[Bound, float]
# Of a plan that ends a cool-down by itself: a goal that is not reached by then has no time to be judged by.
PAST = Bound(Sort.GOAL, "", "past every goal", 0.0, KELVINS, "temperature", least=True)


def figures(result: Prediction) -> dict[Bound, float]:
    """Every bound of a plan with the figure that a run came to: nan where a limit never applied."""
    found = dict(zip(limits_of(result.plan), map(_worst, result.limits), strict=True))
    found |= {_rating(one): one.value for one in result.strains if one.bound is not None}
    return found | {_goal(one.goal): _reached(one) for one in result.goals}


def missed(result: Prediction) -> frozenset[Bound]:
    """The goals that were not reached at all: their figures are no times."""
    return frozenset(_goal(one.goal) for one in result.goals if one.reached_ms is None)


def past(result: Prediction) -> float:
    """By how many K a run came past every goal before it ended; not above 0 where any grid missed one."""
    ways = ((one.nearest - one.goal.value, one.goal.bound == "above") for one in result.goals)
    least = min((way if above else -way for way, above in ways), default=math.inf)
    finer = (one.finer for one in result.goals)
    return min(least, 0.0) if any(one is not None and one.value is None for one in finer) else least


def adverse(result: Prediction) -> dict[Bound, float]:
    """The figures as the grids judge them: the worst of all grids, and as much more as the grids differ."""
    found = figures(result)
    rated = [one.finer for one in result.strains if one.bound is not None]
    grids = [*(one.finer for one in result.limits), *rated, *(one.finer for one in result.goals)]
    for (bound, figure), finer in zip(tuple(found.items()), grids, strict=True):
        if finer is not None and finer.value is not None and math.isfinite(figure):
            found[bound] = _worse(bound, figure, finer.value)
    return found


def _worse(bound: Bound, figure: float, finer: float) -> float:
    apart = abs(figure - finer)
    return min(figure, finer) - apart if bound.least else max(figure, finer) + apart


def limits_of(plan: Plan) -> tuple[Bound, ...]:
    """The limits as bounds, in the plan's order."""
    known = quantities(plan)
    return tuple(_limit(one, known[one.of].dimension) for one in plan.limits)


def _worst(one: LimitResult) -> float:
    return math.nan if one.worst is None else one.worst


def _limit(limit: Limit, dimension: str) -> Bound:
    if limit.measure != "value":
        dimension = "fall_rate"
    size, least = _size(dimension, limit.value), limit.bound == "at_least"
    return Bound(Sort.LIMIT, limit.of, limit.text, limit.value, size, dimension, least, by_second(limit))


def _size(dimension: str, value: float) -> float:
    if dimension == "temperature":
        return KELVINS
    return abs(value - ATMOSPHERE if dimension == "pressure" else value) or 1.0


def _rating(one: Strain) -> Bound:
    value = one.bound or 0.0
    dimension = "stress" if one.what is Load.STRESS else "pressure"
    size = _size(dimension, value)
    return Bound(Sort.RATING, one.about, f"{one.about}, {one.what}", value, size, dimension)


def _goal(goal: Goal) -> Bound:
    return Bound(Sort.GOAL, goal.of, goal.text, goal.within, goal.within or 1.0, "time")


def _reached(one: GoalResult) -> float:
    """When a goal was reached, s; where it was not, later than in time by how far it was from it."""
    if one.reached_ms is not None:
        return one.reached_ms / 1000
    return (one.goal.within or 1.0) * (2.0 + abs(one.nearest - one.goal.value) / KELVINS)
