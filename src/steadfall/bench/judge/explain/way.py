"""One way through a scan of which the moment is known only between bounds: its choices, and what they need.

Rule of this file: where a comparison is not decided by the bounds, both ways are gone, each with the bounds
that it needs; so nothing possible is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import frozen

from steadfall.bench.judge.explain.amount import Amount, Clock, Range, Smoothed
from steadfall.bench.judge.explain.zone import LAST, NOW, ZERO, Zone

if TYPE_CHECKING:
    from steadfall.bench.judge.explain.world import Given, World


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
        given: Given,
        exact: Exact,
        choices: list[bool],
    ) -> None:
        self.places, self.zone, self.exact = places, zone, exact
        self.choices, self.taken = choices, 0
        self.values, self.last, self.begun = given.values, found.values, found.begun
        self.courses, self.narrowed = given.courses, dict[str, Range]()
        self.ages, self.states = dict(found.ages), dict(found.states)

    def range_of(self, value: Amount) -> Amount:
        """A time that runs, or what a filter makes, as a number between two ends."""
        if isinstance(value, Smoothed):
            return self._smoothed(value.name)
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
        if isinstance(left, Smoothed) or isinstance(right, Smoothed):
            return self._smoothed_not_less(left, right)
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

    def before(self, name: str) -> Amount:
        """What a filter had made of its reading in the scan before."""
        if not self.begun:
            return self.courses[name].initial
        return self.courses[name].before(*self._moments())

    def _moments(self) -> tuple[float, float]:
        """Between which two this scan lies, by the controller's clock."""
        return self.zone.least(NOW, ZERO) - self.exact.step, self.zone.most(NOW, ZERO) + self.exact.step

    def _smoothed(self, name: str) -> Range:
        found, known = self.courses[name].between(*self._moments()), self.narrowed.get(name)
        return found if known is None else Range(max(found.low, known.low), min(found.high, known.high))

    def _smoothed_not_less(self, left: Amount, right: Amount) -> bool:
        """Whether left >= right where either is what a filter makes: each way has moments of its own."""
        of, level = (left, right) if isinstance(left, Smoothed) else (right, left)
        if isinstance(level, (Clock, Range, Smoothed)):
            return self.not_less(self.range_of(left), self.range_of(right))
        found = self._smoothed(of.name)
        if of is left:
            above = chosen = self.choose(found.high >= level, found.low < level)
        else:
            chosen = self.choose(found.low <= level, found.high > level)
            above = not chosen
        self.narrowed[of.name] = (
            Range(max(found.low, level), found.high) if above else Range(found.low, min(found.high, level))
        )
        begin, end = self.courses[of.name].when(*self._moments(), level, above=above)
        zone = self.zone.between(NOW, ZERO, begin - self.exact.step, end + self.exact.step)
        if zone is None:
            raise Gone
        self.zone = zone
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
