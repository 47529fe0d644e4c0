"""What a bound that binds would give if it were moved: a search with it moved, not a guess.

Rule of this file: figures are those of the coarse grid, with and without the change, so that they compare,
and of the same tries: a longer search finds more without any change too.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.dose.aim import best
from steadfall.dose.bound import Bound, Sort
from steadfall.dose.found import Buy, rooms
from steadfall.dose.hunt import Hunt, Judged

BINDS = 0.1  # of a bound that is left, below which it binds
MOST = 2  # sorts of bounds of which it is told
UNITS = {"fall_rate": 1 / 60, "pressure": 1e5, "temperature_difference": 5.0, "stress": 1e7}
OTHER = 0.05  # of the size of a bound of another dimension, and of a rate by the second


def buys(hunt: Hunt, found: Judged, tries: int) -> Iterator[Buy]:
    """What the tightest bounds would give, each with so many tries more."""
    asked = hunt.asked()
    for bounds in alike(found)[:MOST]:
        by = unit(bounds[0])
        easier = {one: asked.get(one, 0.0) + (by if one.least else -by) for one in bounds}
        shifts = {**asked, **easier}
        hunt.look([found.point], tries, shifts)
        moved, kept = (best(hunt.known, hunt.wish.aim, those) for those in (shifts, asked))
        before = found.outcome if kept is None else hunt.known[kept]
        after = None if moved in (None, kept, found.point) else hunt.known[moved]
        yield Buy(bounds, by, before, after)


def alike(found: Judged) -> list[tuple[Bound, ...]]:
    """The bounds that bind, the tightest first; the same bound of another circuit moves with it."""
    binding = [one.bound for one in rooms(found) if one.left < BINDS and one.bound.sort is not Sort.GOAL]
    groups: dict[object, list[Bound]] = {}
    for one in binding:
        groups.setdefault((one.sort, one.dimension, one.by_second, one.value, one.least), []).append(one)
    return [tuple(group) for group in groups.values()]


def unit(bound: Bound) -> float:
    """By how much a bound is moved to ask what that buys, in SI: one bar, a kelvin a minute, five kelvins."""
    other = OTHER * bound.size
    return other if bound.by_second else UNITS.get(bound.dimension, other)
