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
SCANS = 4  # by so many a clock may be late behind another one that began it
GREAT = 6  # so many of the greatest times of two clocks are added to each other

Grids = Mapping[tuple[int, int], Any]  # two clocks by place -> constants in order


def grids(slots: Sequence[Slot], dues: Mapping[str, Set[int]], longest: int, *, finer: bool = False) -> Grids:
    """The constants for each two clocks, of which one may be the constant 0.

    `finer`: two clocks may also be kept apart by a third one; there are many such constants.
    """
    clocks = {
        place: set(times(slot, dues.get(slot.key, ()))) for place, slot in enumerate(slots) if measured(slot)
    }
    clocks[NONE] = {0}
    more = set(of_others(sorted(set[int]().union(*clocks.values())), longest)) if finer else set[int]()
    return {
        (one, two): _grid((one, two), clocks[one] | clocks[two], more, longest)
        for one in clocks
        for two in clocks
        if one != two
    }


def times(slot: Slot, due: Iterable[int]) -> tuple[int, ...]:
    """The times of a clock: how it begins, where it ends, what it is compared with."""
    high = (int(slot.high),) if math.isfinite(slot.high) else ()
    return (0, int(slot.initial), *high, *due)


def _grid(clocks: tuple[int, int], times: set[int], more: set[int], longest: int) -> Any:
    great = sorted(time for time in times if time)[-GREAT:]
    found = set(bounds(clocks, sorted(times), great, longest))
    if NONE in clocks:
        return _sorted({time for time in found if time >= 0} if clocks[1] == NONE else found)
    return _sorted(found | more)


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


def of_others(times: Sequence[int], longest: int) -> Iterator[int]:
    """The constants that the times of any other clock make, and up to so many scans."""
    late = [many * longest + past for many in range(SCANS + 1) for past in (-1, 0)]
    yield from (ahead * time + more for time in times for ahead in (1, -1) for more in late)


def _sorted(found: set[int]) -> Any:
    return np.array(sorted(found), dtype=np.int64)


def rest(grid: Any, apart: Any, steps: int = 0) -> Any:
    """The next constant, or so many further; FAR where there is none."""
    place = np.searchsorted(grid, apart) + steps
    return np.where(place < len(grid), grid[np.minimum(place, len(grid) - 1)], FAR)
