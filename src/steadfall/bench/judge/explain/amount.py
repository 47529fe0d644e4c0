"""Values of which more than one is possible: a time that runs, what a filter makes, a number between ends."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from typing import Any, NamedTuple


class Clock(NamedTuple):
    """The time from a moment to this scan, and so many ms more; `place` is the moment's in the zone."""

    place: int
    more: int = 0


class Smoothed(NamedTuple):
    """What a filter has made of its reading by this scan."""

    name: str


class Range(NamedTuple):
    """A number between two ends."""

    low: float
    high: float

    def around(self, other: Range) -> Range:
        """The least range around both."""
        return Range(min(self.low, other.low), max(self.high, other.high))

    def holds(self, other: Range) -> bool:
        """Whether all of another lies in it."""
        return self.low <= other.low and self.high >= other.high


Amount = Any  # bool, int, float, Clock, Smoothed or Range


def spread(made: Callable[..., Any], *parts: Any) -> Amount:
    """What a function that only rises or falls with each part makes of numbers and ranges."""
    if not any(isinstance(part, Range) for part in parts):
        return made(*parts)
    ends = [(part.low, part.high) if isinstance(part, Range) else (part,) for part in parts]
    found = [made(*some) for some in product(*ends)]
    low, high = min(found), max(found)
    return low if low == high else Range(low, high)


def may_be(value: Amount, seen: Any) -> bool:
    """Whether a value may be what was seen."""
    return value.low <= seen <= value.high if isinstance(value, Range) else bool(value == seen)
