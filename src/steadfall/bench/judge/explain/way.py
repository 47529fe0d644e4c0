"""One way through a scan of which the moment is known only between bounds: its choices, and what they need.

Rule of this file: where a comparison is not decided by the bounds, both ways are gone, each with the bounds
that it needs; so nothing possible is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from attrs import frozen

from steadfall.bench.judge.explain.amount import Amount, Clock, Range
from steadfall.bench.judge.explain.zone import LAST, NOW, Zone

if TYPE_CHECKING:
    from steadfall.bench.judge.explain.world import World


@frozen
class Exact:
    """How exact a controller's clock is: its step in ms, its drift as a fraction, and its scans in ms."""

    shortest: float
    longest: float
    step: float = 1.0
    drift: float = 2e-4  # of a quartz, twice over


class Gone(Exception):  # noqa: N818  (a way that is none)
    """The bounds leave nothing."""


class Way:
    """One way through a scan: the choices so far, and what they need."""

    def __init__(
        self,
        places: Mapping[str, int],
        found: World,
        zone: Zone,
        values: Mapping[str, Any],
        exact: Exact,
        choices: list[bool],
    ) -> None:
        self.places, self.zone, self.exact = places, zone, exact
        self.choices, self.taken = choices, 0
        self.values, self.last, self.begun = values, found.values, found.begun
        self.ages, self.states = dict(found.ages), dict(found.states)

    def range_of(self, value: Amount) -> Amount:
        """A time that runs, as a number between two ends."""
        if not isinstance(value, Clock):
            return value
        return Range(
            self.zone.least(NOW, value.place) + value.more, self.zone.most(NOW, value.place) + value.more
        )

    def choose(self, yes: bool, no: bool) -> bool:
        """One of two ways that are possible or not; where both are, the other is gone later."""
        if yes is not no:
            return yes
        if not yes:
            raise Gone
        if self.taken == len(self.choices):
            self.choices.append(True)
        self.taken += 1
        return self.choices[self.taken - 1]

    def not_less(self, left: Amount, right: Amount) -> bool:
        """Whether left >= right."""
        if not isinstance(left, Clock) and not isinstance(right, Clock):
            low, high = ends(left)[0] - ends(right)[1], ends(left)[1] - ends(right)[0]
            return self.choose(high >= 0, low < 0)
        if isinstance(left, Clock) and not isinstance(right, tuple):  # most of them
            i, j, low = NOW, left.place, left.more - right
            high = low
        else:
            i, j, low, high = _difference(left, right)
        loose = self.exact.step + self.exact.drift * max(abs(low), abs(high))
        bounds = self.zone.bounds
        if low - loose >= bounds[j, i]:
            return True
        if bounds[i, j] + high + loose < 0:
            return False
        yes, no = (j, i, high + loose), (i, j, loose - low)
        chosen = self.choose(self.zone.allows(*yes), self.zone.allows(*no))
        self.zone = self.zone.within(*(yes if chosen else no)) or self.zone
        return chosen

    def begin_clock(self, name: str) -> Clock:
        """The clock of a row begins now."""
        place = self.places[name]
        self.zone = self.zone.same(place, NOW)
        return Clock(place)

    def go_on(self, name: str, age: Amount) -> Amount:
        """What the clock of a row shows that showed this in the scan before."""
        if isinstance(age, Clock):
            return age
        place = self.places[name]
        if self.zone.most(NOW, LAST) <= self.exact.longest:
            self.zone = self.zone.same(place, LAST)
        else:  # any of many scans that change nothing
            found = self.zone.free(place).between(NOW, place, self.exact.shortest, self.exact.longest)
            if found is None:
                raise Gone
            self.zone = found
        return Clock(place, int(ends(age)[0]))


def ends(value: Amount) -> tuple[float, float]:
    """Between which two numbers it lies."""
    return (value.low, value.high) if isinstance(value, Range) else (value, value)


def _difference(left: Amount, right: Amount) -> tuple[int, int, float, float]:
    """Left - right as moment i less moment j and a number between two ends."""
    if isinstance(left, Clock) and isinstance(right, Clock):
        return right.place, left.place, left.more - right.more, left.more - right.more
    if isinstance(left, Clock):
        low, high = ends(right)
        return NOW, left.place, left.more - high, left.more - low
    low, high = ends(left)
    return right.place, NOW, low - right.more, high - right.more
