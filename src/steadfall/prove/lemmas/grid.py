"""Where the distance of two clocks may come to rest: at the times that they are compared with, or a scan or
two past them.

Rule of this file: only which bounds are tried hangs on it, never what is true.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from itertools import combinations
from typing import Any

import numpy as np

from steadfall.prove.lemmas.joint import measured
from steadfall.prove.lemmas.lemma import NONE
from steadfall.prove.system.slots import Slot

FAR = 1 << 60  # there is no bound
GREAT = 6  # so many of the greatest times of two clocks are added to each other

Grids = Mapping[tuple[int, int], Any]  # two clocks by place -> constants in order


def grids(slots: Sequence[Slot], dues: Mapping[str, Set[int]], longest: int) -> Grids:
    """The constants for each two clocks, of which one may be the constant 0."""
    clocks = {
        place: set(times(slot, dues.get(slot.key, ()))) for place, slot in enumerate(slots) if measured(slot)
    }
    clocks[NONE] = {0}
    return {
        (one, two): _grid(one, two, clocks[one] | clocks[two], longest)
        for one in clocks
        for two in clocks
        if one != two
    }


def times(slot: Slot, due: Iterable[int]) -> tuple[int, ...]:
    """The times of a clock: how it begins, where it ends, what it is compared with."""
    high = (int(slot.high),) if math.isfinite(slot.high) else ()
    return (0, int(slot.initial), *high, *due)


def _grid(one: int, two: int, times: set[int], longest: int) -> Any:
    great = sorted(time for time in times if time)[-GREAT:]
    found = set(bounds((one, two), sorted(times), great, longest))
    return _sorted({time for time in found if time >= 0} if two == NONE else found)


def bounds(
    clocks: tuple[int, int], times: Sequence[int], great: Sequence[int], longest: int
) -> Iterator[int]:
    """The constants for two clocks, in the order of their times; `great`: those that are added to each
    other.
    """
    if clocks[0] != NONE:
        more = (-1, 0, longest - 1, longest, 2 * longest - 1, 2 * longest)
        yield from (time + past for time in times for past in more)
    if NONE not in clocks:
        sums = (*great, *map(sum, combinations(great, 2)))
        past = (2 * longest - 1, 2 * longest, 3 * longest - 1, 3 * longest)
        yield from (time + more for time in sums for more in past)
    if clocks[1] != NONE:
        yield from (-time for time in times)
        yield -1


def _sorted(found: set[int]) -> Any:
    return np.array(sorted(found), dtype=np.int64)


def rest(grid: Any, apart: Any, steps: int = 0) -> Any:
    """The next constant, or so many further; FAR where there is none."""
    place = np.searchsorted(grid, apart) + steps
    return np.where(place < len(grid), grid[np.minimum(place, len(grid) - 1)], FAR)
