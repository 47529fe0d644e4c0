"""The search itself: generations that breed, then the best of them step by step.

Rule of this file: it knows points and scores alone, no plan. Points are tried in whole batches, in an order
that does not hang on how many processes try them, and none twice; so the same seed finds the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import product

import numpy as np
from attrs import frozen

from steadfall.dose.aim import Score
from steadfall.dose.genetic import Generations
from steadfall.dose.variable import Point

BRED = 0.6  # of the points: the rest goes into steps from the best
IDLE = 3  # generations without a new point after which breeding is over
LARGEST = 48  # points of a generation
Try = Callable[[Sequence[Point]], Mapping[Point, Score]]
Best = Callable[[], Point | None]


@frozen
class Search:
    """Where to look: how many values each variable has, where to begin, how many points, which seed."""

    counts: tuple[int, ...]
    first: tuple[Point, ...]
    most: int
    parts: int = 1
    seed: int = 1

    @property
    def size(self) -> int:
        """How many points a generation has."""
        return max(8, min(LARGEST, self.most // 16))


class Archive:
    """Every point that was tried, and what is left to be tried."""

    def __init__(self, attempt: Try, most: int) -> None:
        self.attempt, self.most = attempt, most
        self.known: dict[Point, Score] = {}

    @property
    def left(self) -> int:
        """How many more may be tried."""
        return self.most - len(self.known)

    def scores(self, points: Sequence[Point]) -> list[Score | None]:
        """The score of each point; None of those for which nothing is left."""
        fresh = [point for point in dict.fromkeys(points) if point not in self.known][: self.left]
        if fresh:
            self.known.update(self.attempt(fresh))
        return [self.known.get(point) for point in points]


def search(where: Search, attempt: Try, best: Best) -> None:
    """Try points until none is left; `attempt` keeps what came of them, `best` tells where to step from.

    A grid that has no more points than may be tried is tried whole.
    """
    archive = Archive(attempt, where.most)
    if math.prod(where.counts) <= where.most:
        archive.scores([*product(*map(range, where.counts))])
        return
    archive.scores(where.first)
    _breed(where, archive)
    start = best()
    while start is not None and archive.left > 0:
        _step(where.counts, start, archive, best)
        again = best()
        if again == start:
            return
        start = again


def _breed(where: Search, archive: Archive) -> None:
    size, idle = where.size, 0
    first = begin(where, size)
    breeding = Generations(where.counts, first, where.parts, where.seed)
    while archive.left > where.most * (1.0 - BRED) and idle < IDLE:
        before = archive.left
        found = archive.scores(breeding.ask())
        told = [one for one in found if one is not None]
        if not told or len(told) < len(found):
            return
        breeding.tell(told)
        idle = 0 if archive.left < before else idle + 1


def begin(where: Search, size: int) -> list[Point]:
    """The first generation: half of it near where to begin, half anywhere."""
    random = np.random.default_rng(where.seed)
    counts = np.array(where.counts)
    found = dict.fromkeys(where.first)
    tries = 0
    while len(found) < size and tries < 50 * size:
        tries += 1
        if tries % 2 and where.first:
            near = np.array(where.first[tries // 2 % len(where.first)])
            row = np.round(near + random.normal(0.0, 0.12, counts.size) * counts)
        else:
            row = random.integers(0, counts)
        found.setdefault(tuple(int(place) for place in np.clip(row, 0, counts - 1)))
    return list(found)[:size]


def _step(counts: Sequence[int], start: Point, archive: Archive, best: Best) -> None:
    """Steps from a point in each variable, longer ones first, as long as they find better."""
    length = max(1, max(counts) // 8)
    while length >= 1 and archive.left > 0:
        archive.scores(list(neighbours(counts, start, length)))
        again = best()
        if again is None or again == start:
            length //= 2
        else:
            start = again


def neighbours(counts: Sequence[int], point: Point, length: int) -> list[Point]:
    """The points that differ in one variable, by a step of its own range at most so long."""
    found: dict[Point, None] = {}
    longest = max(counts)
    for place, count in enumerate(counts):
        own = max(1, round(length * count / longest))
        for step in (own, -own):
            moved = min(max(point[place] + step, 0), count - 1)
            found.setdefault((*point[:place], moved, *point[place + 1 :]))
    found.pop(point, None)
    return list(found)
