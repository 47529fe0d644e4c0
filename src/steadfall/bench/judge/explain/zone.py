"""Moments of which only differences are bounded: a difference-bound matrix, closed after every change.

Rule of this file: a zone that exists is not empty and closed; a change gives another one, or None where
nothing is left. Moments are in ms; the first of them is 0.

(Difference bounds: D. Dill, Timing assumptions and verification of finite-state concurrent systems, 1989.)
"""

from __future__ import annotations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

ZERO, NOW, LAST = range(3)  # the origin, the scan that is made, the scan before it
OWN = 3  # the first of the clocks
SURE = 1e-6  # ms, of sums of bounds


@frozen(eq=False)
class Zone:
    """`bounds[i, j]`: moment i is at most so much after moment j."""

    bounds: NDArray[np.float64]

    def most(self, i: int, j: int) -> float:
        """How much moment i is after moment j at most."""
        return float(self.bounds[i, j])

    def least(self, i: int, j: int) -> float:
        """How much moment i is after moment j at least."""
        return -float(self.bounds[j, i])

    def within(self, i: int, j: int, most: float) -> Zone | None:
        """With moment i at most so much after moment j."""
        if most >= self.bounds[i, j]:
            return self
        return self._through(i, j, most) if self.allows(i, j, most) else None

    def allows(self, i: int, j: int, most: float) -> bool:
        """Whether moment i may be at most so much after moment j."""
        return bool(most + self.bounds[j, i] >= -SURE)

    def _through(self, i: int, j: int, most: float) -> Zone:
        bounds = self.bounds
        through = np.add.outer(bounds[:, i] + most, bounds[j])
        return Zone(np.minimum(bounds, through, out=through))

    def between(self, i: int, j: int, least: float, most: float) -> Zone | None:
        """With moment i after moment j by something between the two."""
        found = self.within(i, j, most)
        return None if found is None else found.within(j, i, -least)

    def free(self, i: int) -> Zone:
        """With nothing known of a moment."""
        bounds = self.bounds.copy()
        bounds[i, :], bounds[:, i] = np.inf, np.inf
        bounds[i, i] = 0.0
        return Zone(bounds)

    def same(self, i: int, j: int) -> Zone:
        """With moment i where moment j is."""
        bounds = self.bounds.copy()
        bounds[i, :], bounds[:, i] = bounds[j, :], bounds[:, j]
        bounds[i, i] = 0.0
        return Zone(bounds)

    def next(self, own: tuple[float, float], since: tuple[float, float]) -> Zone | None:
        """The scan that was made is the one before, and the next comes after it and after 0 by something
        between two ends each.
        """
        bounds = self.bounds.copy()
        bounds[LAST, :], bounds[:, LAST] = bounds[NOW, :], bounds[:, NOW]
        bounds[LAST, LAST] = 0.0
        after = np.minimum(bounds[LAST] + own[1], bounds[ZERO] + since[1])
        before = np.minimum(bounds[:, LAST] - own[0], bounds[:, ZERO] - since[0])
        after[NOW] = before[NOW] = np.inf
        if (after + before).min() < -SURE:
            return None
        bounds[NOW], bounds[:, NOW] = after, before
        bounds[NOW, NOW] = 0.0
        through = np.add.outer(before, after)
        through[NOW] = through[:, NOW] = np.inf
        return Zone(np.minimum(bounds, through, out=through))

    def holds(self, other: Zone) -> bool:
        """Whether all of another zone lies in it."""
        return bool((other.bounds <= self.bounds + SURE).all())

    def around(self, other: Zone) -> Zone:
        """The least zone around both."""
        return Zone(np.maximum(self.bounds, other.bounds))


def anywhere(clocks: int) -> Zone:
    """So many clocks, of which nothing is known."""
    bounds = np.full((OWN + clocks, OWN + clocks), np.inf)
    np.fill_diagonal(bounds, 0.0)
    return Zone(bounds)
