"""Doses that keep the limits not only as planned: stricter bounds, by runs within the tolerances."""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.dose.aim import best
from steadfall.dose.bound import Sort, adverse
from steadfall.dose.hunt import Hunt, Judged

TIGHTER = 1.15  # by how much more than the runs ask a bound is tightened


@frozen
class Sureness:
    """In how many runs within the tolerances a find is tried, and the odds that are asked for."""

    runs: int = 200
    wanted: float | None = None

    def met(self, found: Judged) -> bool:
        """Whether the odds are good enough."""
        bands = found.result.bands
        return bands is None or self.wanted is None or bands.limits.share >= self.wanted


def tighten(hunt: Hunt, found: Judged, tries: int) -> None:
    """Refuse a find, tighten its bounds by how far the runs round it go, and look on.

    The 95 % point of each limit over the runs stands for the odds that are asked for.
    """
    bands = found.result.bands
    hunt.refused.add(found.point)
    limits = [(bound, figure) for bound, figure in adverse(found.result).items() if bound.sort is Sort.LIMIT]
    for (bound, figure), seen in zip(limits, bands.ranges if bands else (), strict=False):
        far = seen.low if bound.least else seen.high
        if far is not None and math.isfinite(figure):
            by = hunt.shifts.get(bound, 0.0) + TIGHTER * (far - figure)
            old = hunt.shifts.get(bound, by)
            hunt.shifts[bound] = min(old, by) if bound.least else max(old, by)
    again = best(hunt.known, hunt.wish.aim, hunt.shifts)
    hunt.look([found.point if again is None else again], tries)
