"""What a filter may have made of its reading by any moment, whatever the moments of the scans were.

Rule of this file: nothing possible is left out. A filter hangs on readings and moments alone, and on nothing
else that a controller does; so it needs no state. Two curves lie around it, and a scan finds it between them.

In a scan it goes the share d/T of the way to the reading, d since the scan before. So of the way that was
left there is left 1 - d/T = exp(-c d), with c between those of the shortest and the longest scan. A curve
that goes by the faster of the two where that leads outwards, and by the slower where not, has no scan beyond
it. A scan takes its reading for all the time since the scan before: so a curve goes to a reading from the
longest scan before the moment at which it can first be seen.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import exp, inf, log

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.bench.judge.explain.amount import Range
from steadfall.bench.judge.explain.way import Exact
from steadfall.logic.filters import Filter

SLACK = 1e-9  # of a value that has moved: what a controller's own rounding may be


@frozen
class Shown:
    """A reading, whether a good sensor shows it, and between which moments a scan may see it."""

    begin: float
    end: float
    reading: float
    good: bool


@frozen
class Piece:
    """The curves from a moment on, and where they go to; what is shown instead of them, if anything is."""

    at: float
    low: float
    high: float
    to: tuple[float, float]
    instead: tuple[float, float] | None = None
    follows: bool = True  # whether a scan may go on from the one before
    exact: bool = False  # it has not moved

    def curve(self, place: int, rates: tuple[float, float], until: float) -> float:
        """Where the lower (0) or the upper (1) is by a moment."""
        now, goal = (self.low, self.high)[place], self.to[place]
        left, outwards = until - self.at, (goal > now) is bool(place)
        if not left > 0.0 or now == goal or abs(now) == inf:
            return now
        return goal + (now - goal) * exp(-rates[outwards] * left)


class Course:
    """The curves around a filter over a recording."""

    def __init__(self, of: Filter, pieces: Sequence[Piece], exact: Exact) -> None:
        self._pieces, self._rates, self._exact = pieces, _rates(of.time_ms, exact), exact
        self.initial = of.before  # before the first scan
        self._at = [one.at for one in pieces]
        ends = [*self._at[1:], inf]
        whole = [self._within(one, one.at, end) for one, end in zip(pieces, ends, strict=True)]
        self._low: NDArray[np.float64] = np.array([low for low, _ in whole])
        self._high: NDArray[np.float64] = np.array([high for _, high in whole])

    def between(self, begin: float, end: float) -> Range:
        """The least and the greatest that a scan between two moments may find."""
        first, last = self._place(begin), self._place(end)
        found = [self._within(self._pieces[first], begin, min(end, self._end(first)))]
        if last > first:
            found.append(self._within(self._pieces[last], self._at[last], end))
        low, high = min(one[0] for one in found), max(one[1] for one in found)
        if last > first + 1:
            low = min(low, float(self._low[first + 1 : last].min()))
            high = max(high, float(self._high[first + 1 : last].max()))
        if all(self._pieces[at].exact for at in (first, last)):
            return Range(low, high)
        return Range(low - SLACK * max(1.0, abs(low)), high + SLACK * max(1.0, abs(high)))

    def before(self, begin: float, end: float) -> Range:
        """The same for the scan before one between two moments."""
        return self.between(begin - self._exact.longest, end - max(self._exact.shortest, 0.0))

    def when(self, begin: float, end: float, level: float, *, above: bool) -> tuple[float, float]:
        """From when to when, between two moments, it may be above a level, or below; whole pieces of it."""
        first, last = self._place(begin), self._place(end)
        room = SLACK * max(1.0, abs(level))
        part = slice(first, last + 1)
        fits = self._high[part] >= level - room if above else self._low[part] <= level + room
        places = np.flatnonzero(fits)
        if not len(places):
            return begin, end
        least, most = first + int(places[0]), first + int(places[-1])
        return max(begin, self._at[least]), min(end, self._end(most))

    def _place(self, moment: float) -> int:
        return max(bisect_right(self._at, moment) - 1, 0)

    def _end(self, place: int) -> float:
        return self._at[place + 1] if place + 1 < len(self._at) else inf

    def _within(self, piece: Piece, begin: float, end: float) -> tuple[float, float]:
        """Of one piece between two moments: both curves go one way all through it."""
        found = list(piece.instead or ())
        if piece.follows:
            found += [piece.curve(at, self._rates, until) for at in (0, 1) for until in (begin, end)]
        return (min(found), max(found)) if found else (-inf, inf)


def course(of: Filter, shown: Sequence[Shown], exact: Exact, first: float | None = None) -> Course:
    """The curves around a filter, for readings in order, of which the first were always there.

    `first`: until when the first scan had come at the latest; None: it was at rest with them.
    """
    rates, longest = _rates(of.time_ms, exact), exact.longest + exact.step
    seen = [Shown(one.begin - exact.step, one.end + exact.step, one.reading, one.good) for one in shown]
    born = inf if first is None else first + exact.step
    pieces: list[Piece] = []
    low, high, oldest, newest, moved = inf, -inf, 0, 0, False
    for at in _edges(seen, longest, born):
        if pieces:
            low, high = (pieces[-1].curve(place, rates, at) for place in (0, 1))
        while seen[oldest].end + longest < at:
            oldest += 1
        while newest < len(seen) and seen[newest].begin - longest <= at:
            newest += 1
        near = seen[oldest:newest]
        now = [one for one in near if one.begin <= at < one.end]
        good, bad = _readings(now, good=True), _readings(now, good=False)
        if not any(one.good and one.begin <= at and one.end > at - longest for one in near):
            low, high = inf, -inf  # no scan goes on from one that saw a good reading
        begins = at == -inf or (at < born < inf)
        if good and (begins or any(not one.good and one.begin <= at < one.end + longest for one in near)):
            low, high = min(low, *good), max(high, *good)
        soon = _readings([one for one in near if at < one.end], good=True)
        to = (min(soon), max(soon)) if soon else (low, high)
        moved = moved or low != high or to != (low, high)
        instead = (min(bad), max(bad)) if bad else None
        pieces.append(Piece(at, low, high, to, instead, bool(good) and low <= high, not moved))
    return Course(of, pieces, exact)


def _readings(shown: Iterable[Shown], *, good: bool) -> list[float]:
    return [one.reading for one in shown if one.good is good]


def _edges(seen: Sequence[Shown], longest: float, born: float) -> list[float]:
    """The moments at which something that a scan may see is another than before."""
    found = {-inf, born}
    for one in seen:
        found |= {one.begin - longest, one.begin, one.end}
        if not one.good:
            found.add(one.end + longest)
    found |= {one.end + longest for one, then in pairwise(seen) if one.good and not then.good}
    return sorted(one for one in found if one < inf)


def _rates(time_ms: float, exact: Exact) -> tuple[float, float]:
    """By which a way that is left gets less at least and at most, a ms."""
    shortest, longest = max(exact.shortest - exact.step, 0.0), exact.longest + exact.step
    slow = -log(1.0 - shortest / time_ms) / shortest if 0.0 < shortest < time_ms else 1.0 / time_ms
    fast = -log(1.0 - longest / time_ms) / longest if longest < time_ms else inf
    return slow * (1.0 - exact.drift), fast * (1.0 + exact.drift)
