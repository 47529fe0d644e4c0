"""What the search is for, and how far a run is from keeping every bound.

Rule of this file: a run that keeps everything comes before one that does not; of two that do not, the one
that breaks less, or holds out longer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum

from attrs import frozen

from steadfall.dose.bound import Bound
from steadfall.dose.variable import Point
from steadfall.dose.work import Outcome


class Aim(StrEnum):
    """What the doses are to be good for."""

    TIME = "time"
    WATER = "water"
    WEAR = "wear"
    BALANCE = "balance"


_PARTS: Mapping[Aim, Callable[[Outcome], tuple[float, ...]]] = {
    Aim.TIME: lambda one: (one.time,),
    Aim.WATER: lambda one: (one.water,),
    Aim.WEAR: lambda one: (float(one.openings),),
    Aim.BALANCE: lambda one: (one.time, one.water, float(one.openings)),
}
EACH = _PARTS[Aim.BALANCE]
STOPPED = 10.0  # what a run counts that did not come to its end: more than any bound is exceeded
UNKNOWN = 1e12  # of a figure that a stopped run has not: a number, since the search reckons with it


@frozen
class Score:
    """What the search makes small, and how far beyond its bounds the run is; 0 where it keeps all."""

    parts: tuple[float, ...]
    beyond: float


def score(one: Outcome, aim: Aim, shifts: Mapping[Bound, float]) -> Score:
    """The score of an outcome, its coarse figures shifted."""
    parts = tuple(min(part, UNKNOWN) for part in _PARTS[aim](one))
    return Score(parts, beyond(one, shifts))


def overs(one: Outcome, shifts: Mapping[Bound, float]) -> dict[Bound, float]:
    """How far each bound is exceeded; below 0 what is left."""
    return {bound: bound.over(figure + shifts.get(bound, 0.0)) for bound, figure in one.figures.items()}


def beyond(one: Outcome, shifts: Mapping[Bound, float]) -> float:
    """The sum of what is exceeded, and for a run that was stopped by how much of it is missing."""
    total = sum(over for over in overs(one, shifts).values() if over > 0.0)
    whole = one.broken is None and one.share == 1.0
    late = math.isinf(one.time) and whole
    return total + (0.0 if whole or late else STOPPED * (2.0 - one.share))


def keeping(known: Mapping[Point, Outcome], shifts: Mapping[Bound, float]) -> dict[Point, Outcome]:
    """The points that keep every bound."""
    return {
        point: one for point, one in known.items() if math.isfinite(one.time) and beyond(one, shifts) == 0.0
    }


def best(known: Mapping[Point, Outcome], aim: Aim, shifts: Mapping[Bound, float]) -> Point | None:
    """The best point of those that keep everything; None where none does."""
    return chosen(keeping(known, shifts), aim)


def chosen(kept: Mapping[Point, Outcome], aim: Aim) -> Point | None:
    """The best of some points."""
    if not kept:
        return None
    if aim is Aim.BALANCE:
        return knee(kept)
    return min(kept, key=lambda point: (_PARTS[aim](kept[point]), EACH(kept[point]), point))


def nearest(known: Mapping[Point, Outcome], shifts: Mapping[Bound, float]) -> Point:
    """The point that breaks least."""
    return min(known, key=lambda point: (beyond(known[point], shifts), point))


def front(kept: Mapping[Point, Outcome]) -> dict[Point, Outcome]:
    """The points that no other beats in time, water and openings together, soonest first."""
    order = sorted(kept, key=lambda point: (EACH(kept[point]), point))
    found: dict[Point, Outcome] = {}
    for point in order:
        own = EACH(kept[point])
        if not any(_as_good(EACH(other), own) for other in found.values()):
            found[point] = kept[point]
    return found


def _as_good(one: Iterable[float], other: Iterable[float]) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))


def knee(kept: Mapping[Point, Outcome]) -> Point:
    """The point of the front that is nearest to the best of everything, each measured by the front's own
    range.
    """
    trade = front(kept)
    table = {point: EACH(one) for point, one in trade.items()}
    low = [min(column) for column in zip(*table.values(), strict=True)]
    high = [max(column) for column in zip(*table.values(), strict=True)]

    def away(point: Point) -> float:
        return math.hypot(
            *((x - a) / (b - a) if b > a else 0.0 for x, a, b in zip(table[point], low, high, strict=True))
        )

    return min(table, key=lambda point: (away(point), point))
