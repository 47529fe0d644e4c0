"""Where no doses keep everything: which bounds fight, and the least change that would let them.

Rule of this file: runs go to their end here, whatever they break, and what is said was run.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from steadfall.dose.aim import Score, beyond, nearest, overs
from steadfall.dose.bound import PAST, Bound
from steadfall.dose.found import Fight
from steadfall.dose.hunt import Hunt, Known
from steadfall.dose.search import Search, search
from steadfall.dose.variable import Point, own
from steadfall.dose.work import Outcome


def fight(hunt: Hunt, tries: int) -> Fight:
    """Look for the doses that break least, and for those that break one bound alone."""
    known: Known = {}
    shifts = dict(hunt.shifts)

    def attempt(points: Sequence[Point]) -> dict[Point, Score]:
        known.update(hunt.run(points, shifts, (len(known), tries), stops=False))
        return {point: Score((beyond(known[point], shifts),), 0.0) for point in points}

    first = dict.fromkeys((nearest(hunt.known, shifts), own(hunt.plan, hunt.variables)))
    counts = tuple(len(one.values) for one in hunt.variables)
    where = Search(counts, tuple(first), tries, 1, hunt.wish.seed)
    search(where, attempt, lambda: nearest(known, shifts) if known else None)
    return told(known, shifts)


def told(known: Known, shifts: Mapping[Bound, float]) -> Fight:
    """What the runs say of it."""
    point = nearest(known, shifts)
    one = known[point]
    broken = {
        bound: math.inf if bound in one.missed else one.figures[bound] + shifts.get(bound, 0.0)
        for bound, over in _exceeded(one, shifts).items()
    }
    return Fight(point, broken, _changes(known, shifts))


def _exceeded(one: Outcome, shifts: Mapping[Bound, float]) -> dict[Bound, float]:
    """What a run exceeds, and how far; a goal that it missed stands there itself."""
    return {bound: over for bound, over in overs(one, shifts).items() if over > 0.0 and bound != PAST}


def _changes(known: Known, shifts: Mapping[Bound, float]) -> dict[Bound, float]:
    """For each bound the value that would do while all others stay: the least change first."""
    least: dict[Bound, tuple[float, float]] = {}
    for one in known.values():
        exceeded = [(over, bound) for bound, over in _exceeded(one, shifts).items()]
        if len(exceeded) != 1 or one.share < 1.0:
            continue
        [(over, bound)] = exceeded
        if bound in one.missed:
            continue  # no later time is known to do
        if over < least.get(bound, (math.inf, 0.0))[0]:
            least[bound] = over, one.figures[bound] + shifts.get(bound, 0.0)
    order = sorted(least, key=lambda bound: least[bound][0])
    return {bound: least[bound][1] for bound in order}
