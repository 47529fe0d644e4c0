"""Follows a recording: keeps every state that the plan's logic may be in, and drops what was not seen.

Rule of this file: nothing possible is dropped. Scans that change nothing are not counted, only bounded: a
world holds every moment up to which the controller may have gone on in it. Where no world is left, no
sequence of scans explains what was seen.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.bench.judge.explain.amount import Amount, may_be
from steadfall.bench.judge.explain.scan import TooManyWaysError, ways
from steadfall.bench.judge.explain.smoothed import Course
from steadfall.bench.judge.explain.way import Exact
from steadfall.bench.judge.explain.world import Given, Shape, World, rested, unborn
from steadfall.bench.judge.explain.zone import NOW, ZERO, Zone
from steadfall.logic.nodes import Value

NEVER = float("-inf")
MOST_ALIKE = 4  # zones of one key, before they are made one
MOST_WORLDS = 3_000  # looked at in one cycle
AHEAD_MS = 3_000.0  # how far is looked for the moment that would have been right
NOTHING: Mapping[str, Any] = {}


class TooManyWorldsError(Exception):
    """There are more possible states than can be looked at."""


class _Otherwise(Exception):  # noqa: N818  (no error)
    """Something else than was seen may have been."""


@frozen
class Window:
    """Something that was true at some moment between the two, in ms."""

    begin: float
    end: float


@frozen(eq=False)
class Departed:
    """What nothing explains: when, which outputs, what they were, and when that would have been right."""

    seen: Window
    outputs: Mapping[str, Value]  # those that differ from the nearest explanation, as seen
    right: Window | None = (
        None  # the next window in which the logic does that, the inputs staying as they are
    )


class Follower:
    """The logic of a plan, followed scan by scan; a value is `link_ms` on its way at most."""

    def __init__(self, made: Shape, exact: Exact, outputs: Sequence[str], link_ms: float = 0.0) -> None:
        self.made, self.exact, self.outputs, self.link = made, exact, tuple(outputs), link_ms
        self.worlds: list[World] = []
        self._first: Window | None = None
        self._inputs: Mapping[str, Value] = {}
        self._courses: Mapping[str, Course] = NOTHING
        self._given = Given({}, {})  # and all that they decide
        self._since = NEVER
        self.most = 0

    def begin(
        self,
        inputs: Mapping[str, Value],
        first: Window | None = None,
        forgotten: Collection[str] = (),
        retained: Mapping[str, Amount] = NOTHING,
        courses: Mapping[str, Course] = NOTHING,
    ) -> None:
        """The inputs as they stand, and when the first scan was after power-up.

        Where that is not known, the controller has been at rest with these inputs for long, and what is to be
        `forgotten` of that time is off. `retained`: what it has kept without power, where that is known.
        `courses`: what its filters may have made of readings.
        """
        self._begin(inputs, first, courses)
        kept = {name: value for name, value in retained.items() if name in self.made.kept}
        whole = self._inputs
        self.worlds = [unborn(self.made, kept) if first else rested(self.made, whole, forgotten, kept)]

    def cut(
        self,
        off: Window,
        inputs: Mapping[str, Value],
        first: Window,
        courses: Mapping[str, Course] = NOTHING,
    ) -> None:
        """Power was off at some moment, and then there was a first scan: each world keeps what it retains."""
        names = [row.name for row in self.made.network.assignments if row.retained]
        found = self._late_enough(self._explore(self.worlds, self._since, off.end), off.begin)
        self._begin(inputs, first, courses)
        left: dict[Any, World] = {}
        for world in found:
            one = unborn(self.made, {name: world.values[name] for name in names if name in self.made.kept})
            left[one.key] = one.around(left[one.key]) if one.key in left else one
        self.worlds = list(left.values())

    def _begin(
        self, inputs: Mapping[str, Value], first: Window | None, courses: Mapping[str, Course]
    ) -> None:
        usual = {row.name: row.initial for row in self.made.network.inputs}  # what the panel shows, too
        given = {**usual, **inputs}
        self._first, self._since, self._courses = first, NEVER, courses
        self._inputs, self._given = given, self.made.given(given, courses)

    def read(self, window: Window, seen: Mapping[str, Value]) -> Departed | None:
        """Outputs were read."""
        found = self._explore(self.worlds, self._since, window.end)
        alive = self._late_enough(found, window.begin - self.link)
        kept = [world for world in alive if self._shows(world, seen)]
        if not kept:
            return self._departed(alive, window, seen)
        self._go_on(kept, window)
        return None

    def calm(self, window: Window, seen: Mapping[str, Value]) -> bool:
        """Go to a later reading at once, where until then nothing else than this could be seen.

        False: something could, and nothing was done.
        """
        try:
            found = self._explore(self.worlds, self._since, window.end, seen)
        except (_Otherwise, TooManyWorldsError, TooManyWaysError):
            return False
        kept = self._late_enough(found, window.begin - self.link)
        if not kept:
            return False
        self._go_on(kept, window)
        return True

    def write(self, window: Window, inputs: Mapping[str, Value]) -> None:
        """Inputs were written; what is not named stays."""
        found = self._explore(self.worlds, self._since, window.end + self.link)
        self.worlds = self._late_enough(found, window.begin)
        self._inputs = {**self._inputs, **inputs}
        self._given = self.made.given(self._inputs, self._courses)
        self._since = window.begin

    def _late_enough(self, found: Iterable[World], moment: float) -> list[World]:
        """Those whose last scan was no longer before a moment than a scan takes, or whose first is due."""
        least = moment - self.exact.longest
        waits = self._first is not None and self._first.end >= moment
        possible = (world for world in found if world.begun or waits)
        bounded = ((world, world.zone.within(ZERO, NOW, -least)) for world in possible)
        return [world.within(zone) for world, zone in bounded if zone is not None]

    def _go_on(self, kept: list[World], window: Window) -> None:
        self.worlds, self._since = kept, max(self._since, window.begin - self.link)

    def _shows(self, world: World, seen: Mapping[str, Value]) -> bool:
        return all(may_be(world.values[name], seen[name]) for name in self.outputs if name in seen)

    def _explore(
        self, worlds: Iterable[World], begin: float, end: float, seen: Mapping[str, Value] = NOTHING
    ) -> list[World]:
        """Every world that scans between two moments may lead to; also those in which there is none.

        Raises _Otherwise at the first that does not show what was seen.
        """
        done: dict[Any, list[World]] = {}
        todo, looked = list(worlds), 0
        while todo:
            world, looked = todo.pop(), looked + 1
            if looked > MOST_WORLDS:
                raise TooManyWorldsError
            if seen and not self._shows(world, seen):
                raise _Otherwise
            alike = done.setdefault(world.key, [])
            if any(known.holds(world) for known in alike):
                continue
            if len(alike) >= MOST_ALIKE:
                for known in alike:
                    world = world.around(known)
                alike.clear()
            still, more = self._beyond(world, begin, end)
            alike[:] = [known for known in alike if not still.holds(known)]
            alike.append(still)
            todo += more
        self.most = max(self.most, looked)
        return [world for alike in done.values() for world in alike]

    def _beyond(self, world: World, begin: float, end: float) -> tuple[World, list[World]]:
        """A world with all scans that change nothing in it, and the worlds that one more scan makes of it."""
        still, moves = world, not world.begun
        if world.begun:
            zone = self._next(world.zone, float("inf"), begin, end)
            if zone is None:
                return world, []
            for way in ways(self.made, world, zone, self._given, self.exact):
                if way.key == world.key:
                    still = still.around(way)
                else:
                    moves = True
        if not moves:
            return still, []
        if world.begun:
            zone = self._next(still.zone, self.exact.longest, begin, end)
        else:
            zone = self._started(still.zone, end)
        if zone is None:
            return still, []
        made = ways(self.made, still, zone, self._given, self.exact)
        return still, [way for way in made if way.key != still.key]

    def _next(self, zone: Zone, longest: float, begin: float, end: float) -> Zone | None:
        """The next scan comes so long after the last one, between two moments."""
        return zone.next((self.exact.shortest, longest), (begin, end))

    def _started(self, zone: Zone, end: float) -> Zone | None:
        first = self._first
        return None if first is None else zone.between(NOW, ZERO, first.begin, min(first.end, end))

    def _departed(self, found: Sequence[World], window: Window, seen: Mapping[str, Value]) -> Departed:
        def differing(world: World) -> dict[str, Value]:
            return {
                name: seen[name]
                for name in self.outputs
                if name in seen and not may_be(world.values[name], seen[name])
            }

        nearest = min((differing(world) for world in found), key=len, default={})
        try:
            later = self._explore(found, self._since, window.end + AHEAD_MS)
        except (TooManyWorldsError, TooManyWaysError):
            later = []
        right = [world.zone for world in later if self._shows(world, seen)]
        least = min((zone.least(NOW, ZERO) for zone in right), default=0.0)
        most = max((zone.most(NOW, ZERO) for zone in right), default=0.0)
        return Departed(window, nearest, Window(least, most) if right else None)
