"""Standard sizes: the steps in which valves and pipes can be bought.

Rule of this file: the series as their standards print them, and the next one up.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator

# ISO 3:1973, preferred numbers, basic series R10, between 1 and 10; makers list Kv values by it.
R10 = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
# ISO 6708:1995, preferred DN sizes (from memory). A DN names a size and is no bore; common practice takes it
# for the bore in mm, which is within a tenth or so for steel pipe of medium wall.
DN = (6, 8, 10, 15, 20, 25, 32, 40, 50, 65, 80, 100, 125, 150, 200, 250, 300)
HOUR = 3600.0
WITHIN = 1e-9  # so that a number of the series is not stepped over by its last digit


def next_kv(least: float) -> float | None:
    """The next Kv of the series at or above so many m3/s at 1 bar, in the same; None where none can be.

    >>> round(3600 * next_kv(1.9 / 3600), 3)
    2.0
    """
    if not 0.0 < least < math.inf:
        return None
    hourly = least * HOUR * (1.0 - WITHIN)
    decade = 10.0 ** math.floor(math.log10(hourly))
    steps = [step * decade for step in R10] + [10.0 * decade]
    return steps[bisect_left(steps, hourly)] / HOUR


def kvs_from(least: float) -> Iterator[float]:
    """The Kvs of the series from so many m3/s at 1 bar on, four decades of them.

    >>> [round(3600 * kv, 3) for kv in kvs_from(1.9 / 3600)][:3]
    [2.0, 2.5, 3.15]
    """
    step = next_kv(least)
    for _ in range(4 * len(R10)):
        if step is None:
            return
        yield step
        step = next_kv(step * 1.001)


def next_kv_for(kv: float, asked: float, given: float) -> float | None:
    """The next Kv that gives so much more than this one as is asked; None where it gives nothing at all."""
    return next_kv(kv * asked / given) if given > 0.0 else None


def next_dn(bore: float) -> int | None:
    """The next DN whose number of mm is at or above a bore in m; None beyond the largest.

    >>> next_dn(0.0161)
    20
    """
    place = bisect_left(DN, 1000.0 * bore * (1.0 - WITHIN))
    return DN[place] if place < len(DN) else None
