"""One scan of a controller of which moments are known only between bounds: every way that it may go."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.bench.judge.explain.way import Exact, Gone, Way
from steadfall.bench.judge.explain.world import Given, Shape, World, world
from steadfall.bench.judge.explain.zone import Zone

MOST_WAYS = 4_000  # of one scan


class TooManyWaysError(Exception):
    """One scan may go more ways than can be looked at."""


def ways(made: Shape, last: World, zone: Zone, given: Given, exact: Exact) -> Iterator[World]:
    """Every way that a scan may go; `zone` bounds its moment, `given` is what the inputs decide."""
    choices: list[bool] = []
    for _ in range(MOST_WAYS):
        way = Way(made.places, last, zone, given, exact, choices)
        try:
            values = {**given.kept, **made.scan(way)}
        except Gone:
            pass
        else:
            yield world(made, (values, way.ages, way.states), way.zone, before=last)
        choices = choices[: way.taken]
        while choices and not choices[-1]:
            choices.pop()
        if not choices:
            return
        choices[-1] = False
    raise TooManyWaysError
