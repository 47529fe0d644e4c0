"""Doses that keep the limits not only as planned: stricter bounds, by runs within the tolerances."""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.dose.aim import best, beyond
from steadfall.dose.bound import Bound, Sort, adverse
from steadfall.dose.hunt import Hunt, Judged

FIRST = 0.8  # of how far the runs go beyond a find: a find with more left is beyond it by less
GROWS = 1.2  # by how much a margin that was not enough grows
BEGIN = 8  # points from which to look on


@frozen
class Sureness:
    """In how many runs within the tolerances a find is tried, and the odds that are asked for."""

    runs: int = 200
    wanted: float | None = None

    def met(self, found: Judged) -> bool:
        """Whether the odds are good enough."""
        bands = found.result.bands
        return bands is None or self.wanted is None or bands.limits.share >= self.wanted


def gentlest(hunt: Hunt) -> dict[Bound, float]:
    """What each limit came to at best, of the tries that were run to their end: doses alone gave no more."""
    found: dict[Bound, float] = {}
    for one in hunt.known.values():
        if one.broken is not None or one.share < 1.0:
            continue  # what a run that was stopped would have come to, nobody knows
        for bound, coarse in one.figures.items():
            figure = coarse + hunt.shifts.get(bound, 0.0)
            if bound.sort is Sort.LIMIT and math.isfinite(figure):
                best_of = max if bound.least else min
                found[bound] = best_of(found.get(bound, figure), figure)
    return found


def tighten(hunt: Hunt, found: Judged, tries: int) -> None:
    """Refuse a find, ask for margins by how far the runs round it go, and look on from what comes nearest.

    The 95 % point of each limit over the runs stands for the odds that are asked for.
    """
    bands = found.result.bands
    hunt.refused.add(found.point)
    limits = [(bound, figure) for bound, figure in adverse(found.result).items() if bound.sort is Sort.LIMIT]
    for (bound, figure), seen in zip(limits, bands.ranges if bands else (), strict=False):
        far = seen.low if bound.least else seen.high
        if far is not None and math.isfinite(figure):
            by, old = FIRST * (far - figure), GROWS * hunt.margins.get(bound, 0.0)
            hunt.margins[bound] = min(old, by) if bound.least else max(old, by)
    shifts = hunt.asked()
    order = sorted(hunt.known, key=lambda point: (beyond(hunt.known[point], shifts), point))
    again = best(hunt.known, hunt.wish.aim, shifts)
    hunt.look([*([] if again is None else [again]), *order[:BEGIN]], tries)
