"""One scan of a controller of which moments are known only between bounds: every way that it may go.

Rule of this file: one row per node class, as in `scan.interpreter`. Where a comparison is not decided by the
bounds, both ways are gone, each with the bounds that it needs; so nothing possible is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from typing import Any

from attrs import frozen

from steadfall.bench.explain.amount import Amount, Clock, Range, spread
from steadfall.bench.explain.world import Shape, World
from steadfall.bench.explain.zone import LAST, NOW, Zone
from steadfall.comparisons import HOLDS
from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Value
from steadfall.scan.interpreter import ON, OUT, REST, TIMING, root, rounded

MOST_WAYS = 4_000  # of one scan


@frozen
class Exact:
    """How exact a controller's clock is: its step in ms, its drift as a fraction, and its scans in ms."""

    shortest: float
    longest: float
    step: float = 1.0
    drift: float = 2e-4  # of a quartz, twice over


class TooManyWaysError(Exception):
    """One scan may go more ways than can be looked at."""


class _Gone(Exception):  # noqa: N818  (a way that is none)
    """The bounds leave nothing."""


class Way:
    """One way through a scan: the choices so far, and what they need."""

    def __init__(
        self,
        made: Shape,
        world: World,
        zone: Zone,
        inputs: Mapping[str, Value],
        exact: Exact,
        choices: list[bool],
    ) -> None:
        self.made, self.world, self.zone, self.exact = made, world, zone, exact
        self.choices, self.taken = choices, 0
        self.values: dict[str, Amount] = dict(inputs)
        self.ages, self.states = dict(world.ages), dict(world.states)
        self.name = ""

    def through(self) -> World:
        """All assignments that inputs do not decide, in order."""
        for row in self.made.decided.rest:
            self.name = row.name
            self.values[row.name] = self.value(row.node)
        kept = self.made.kept
        values = {name: self._kept(value) for name, value in self.values.items() if name in kept}
        return World(values, self.ages, self.states, self.zone, before=self.world)

    def _kept(self, value: Amount) -> Amount:
        """A time that runs, as the next scan will find it: it is that of this scan then."""
        return self.range_of(value) if isinstance(value, Clock) else value

    def value(self, node: Node) -> Amount:
        """The value of a node in this scan."""
        return MEANING[type(node)](node, self)

    def range_of(self, value: Amount) -> Amount:
        """A time that runs, as a number between two ends."""
        if not isinstance(value, Clock):
            return value
        return Range(
            self.zone.least(NOW, value.place) + value.more, self.zone.most(NOW, value.place) + value.more
        )

    def choose(self, yes: Zone | None, no: Zone | None) -> bool:
        """One of two ways; where both are possible, the other is gone later."""
        if yes is None and no is None:
            raise _Gone
        if yes is None or no is None:
            chosen = yes is not None
        else:
            if self.taken == len(self.choices):
                self.choices.append(True)
            chosen = self.choices[self.taken]
            self.taken += 1
        found = yes if chosen else no
        if found is not None:
            self.zone = found
        return chosen

    def not_less(self, left: Amount, right: Amount) -> bool:
        """Whether left >= right."""
        if not isinstance(left, Clock) and not isinstance(right, Clock):
            low, high = _ends(left)[0] - _ends(right)[1], _ends(left)[1] - _ends(right)[0]
            return self.choose(self.zone if high >= 0 else None, self.zone if low < 0 else None)
        i, j, low, high = _difference(left, right)
        loose = self.exact.step + self.exact.drift * max(abs(low), abs(high))
        if self.zone.least(i, j) + low - loose >= 0:
            return True
        if self.zone.most(i, j) + high + loose < 0:
            return False
        return self.choose(self.zone.within(j, i, high + loose), self.zone.within(i, j, loose - low))

    def begin_clock(self) -> Clock:
        """The clock of this row begins now."""
        place = self.made.places[self.name]
        self.zone = self.zone.same(place, NOW)
        return Clock(place)

    def go_on(self, age: Amount) -> Amount:
        """What a clock of this row shows that showed this in the scan before."""
        if isinstance(age, Clock):
            return age
        place = self.made.places[self.name]
        if self.zone.most(NOW, LAST) <= self.exact.longest:
            self.zone = self.zone.same(place, LAST)
        else:  # any of many scans that change nothing
            found = self.zone.free(place).between(NOW, place, self.exact.shortest, self.exact.longest)
            if found is None:
                raise _Gone
            self.zone = found
        return Clock(place, int(_ends(age)[0]))


def ways(made: Shape, world: World, zone: Zone, inputs: Mapping[str, Value], exact: Exact) -> Iterator[World]:
    """Every way that a scan may go; `zone` bounds its moment, `inputs` come with all that they decide."""
    choices: list[bool] = []
    for _ in range(MOST_WAYS):
        way = Way(made, world, zone, inputs, exact, choices)
        with suppress(_Gone):
            yield way.through()
        choices = choices[: way.taken]
        while choices and not choices[-1]:
            choices.pop()
        if not choices:
            return
        choices[-1] = False
    raise TooManyWaysError


def _ends(value: Amount) -> tuple[float, float]:
    return (value.low, value.high) if isinstance(value, Range) else (value, value)


def _difference(left: Amount, right: Amount) -> tuple[int, int, float, float]:
    """Left - right as moment i less moment j and a number between two ends."""
    if isinstance(left, Clock) and isinstance(right, Clock):
        return right.place, left.place, left.more - right.more, left.more - right.more
    if isinstance(left, Clock):
        low, high = _ends(right)
        return NOW, left.place, left.more - high, left.more - low
    low, high = _ends(left)
    return right.place, NOW, low - right.more, high - right.more


def _compare(node: nodes.Compare, way: Way) -> bool:
    left, right = way.value(node.left), way.value(node.right)
    if not isinstance(left, Clock | Range) and not isinstance(right, Clock | Range):
        return bool(HOLDS[node.op](left, right))
    if node.op in (">=", "<"):
        return way.not_less(left, right) is (node.op == ">=")
    if node.op in ("<=", ">"):
        return way.not_less(right, left) is (node.op == "<=")
    equal = way.not_less(left, right) and way.not_less(right, left)
    return equal is (node.op == "=")


def _mux(node: nodes.Mux, way: Way) -> Amount:
    index = min(max(way.value(node.index), 0), len(node.entries) - 1)
    return way.value(node.entries[index])


def _sum(sign: int) -> Callable[[Any, Way], Amount]:
    def made(node: Any, way: Way) -> Amount:
        left, right = way.value(node.left), way.value(node.right)
        if isinstance(left, Clock) and isinstance(right, int):
            return Clock(left.place, left.more + sign * right)
        if isinstance(right, Clock) and isinstance(left, int) and sign > 0:
            return Clock(right.place, right.more + left)
        return spread(lambda one, two: one + sign * two, way.range_of(left), way.range_of(right))

    return made


def _least(way: Way, left: Amount, right: Amount) -> Amount:
    if isinstance(left, Clock) or isinstance(right, Clock):
        return right if way.not_less(left, right) else left
    return spread(min, left, right)


def _greatest(way: Way, left: Amount, right: Amount) -> Amount:
    if isinstance(left, Clock) or isinstance(right, Clock):
        return left if way.not_less(left, right) else right
    return spread(max, left, right)


def _limit(node: nodes.Limit, way: Way) -> Amount:
    return _least(way, _greatest(way, way.value(node.value), way.value(node.low)), way.value(node.high))


def _previous(node: nodes.Previous, way: Way) -> Amount:
    return way.world.values[node.name]


def _edge(node: nodes.Rise | nodes.Fall, way: Way) -> bool:
    now = bool(way.value(node.part)) is isinstance(node, nodes.Rise)
    before, way.states[way.name] = way.states[way.name], int(now)
    return now and not before


def _set_dominant(node: nodes.SetDominant, way: Way) -> bool:
    last = way.world.values[way.name]
    return bool(way.value(node.set) or (not way.value(node.reset) and last))


def _reset_dominant(node: nodes.ResetDominant, way: Way) -> bool:
    last = way.world.values[way.name]
    return bool(not way.value(node.reset) and (way.value(node.set) or last))


def _preset(node: Any, way: Way) -> Amount:
    return _greatest(way, way.value(node.preset), 0)


def _counted(way: Way, preset: Amount) -> bool:
    """Lets the clock of this row go on; whether it has come to its preset, where it stops."""
    age = way.ages[way.name]
    if isinstance(age, int) and isinstance(preset, int) and age >= preset:
        way.ages[way.name] = preset
        return True
    age = way.go_on(age)
    if way.not_less(age, preset):
        way.ages[way.name] = preset
        return True
    way.ages[way.name] = age
    return False


def _begun(way: Way, preset: Amount) -> bool:
    """Begins the clock of this row; whether a preset of 0 ends it in the same scan."""
    if way.not_less(0, preset):
        way.ages[way.name] = preset
        return True
    way.ages[way.name] = way.begin_clock()
    return False


def _ton(node: nodes.Ton, way: Way) -> bool:
    on, preset = way.value(node.part), _preset(node, way)
    before, way.states[way.name] = way.states[way.name], ON if on else REST
    if not on:
        way.ages[way.name] = 0
        return False
    return _counted(way, preset) if before == ON else _begun(way, preset)


def _tof(node: nodes.Tof, way: Way) -> bool:
    on, preset, state = way.value(node.part), _preset(node, way), way.states[way.name]
    if on:
        way.states[way.name], way.ages[way.name] = ON, 0
        return True
    if state == TIMING:
        state = OUT if _counted(way, preset) else TIMING
    elif state == ON:
        state = OUT if _begun(way, preset) else TIMING
    way.states[way.name] = state
    return state == TIMING


def _tp(node: nodes.Tp, way: Way) -> bool:
    on, preset, state = way.value(node.part), _preset(node, way), way.states[way.name]
    if state == TIMING:
        state = OUT if _counted(way, preset) else TIMING
    elif state == REST and on:
        state = OUT if _begun(way, preset) else TIMING
    if state == OUT and not on:
        state, way.ages[way.name] = REST, 0
    way.states[way.name] = state
    return state == TIMING


def _since(node: nodes.Since, way: Way) -> Amount:
    age = 0 if way.world.values[node.event] else way.ages[way.name]
    if way.world.begun and age != node.limit_ms:
        age = way.go_on(age)
        age = node.limit_ms if way.not_less(age, node.limit_ms) else age
    way.ages[way.name] = age
    return age


def _to_time(node: nodes.ToTime, way: Way) -> Amount:
    return spread(lambda value: rounded(value, node.step_ms), way.value(node.part))


MEANING: Mapping[type[Node], Callable[[Any, Way], Amount]] = {
    nodes.Constant: lambda node, _: node.value,
    nodes.Read: lambda node, way: way.values[node.name],
    nodes.Previous: _previous,
    nodes.Elapsed: lambda node, way: way.ages[node.timer],
    nodes.Not: lambda node, way: not way.value(node.part),
    nodes.And: lambda node, way: all(way.value(part) for part in node.parts),
    nodes.Or: lambda node, way: any(way.value(part) for part in node.parts),
    nodes.Compare: _compare,
    nodes.Select: lambda node, way: way.value(node.then if way.value(node.when) else node.otherwise),
    nodes.Mux: _mux,
    nodes.Add: _sum(1),
    nodes.Subtract: _sum(-1),
    nodes.Multiply: lambda node, way: spread(
        lambda one, two: one * two, way.range_of(way.value(node.left)), way.range_of(way.value(node.right))
    ),
    nodes.Least: lambda node, way: _least(way, way.value(node.left), way.value(node.right)),
    nodes.Greatest: lambda node, way: _greatest(way, way.value(node.left), way.value(node.right)),
    nodes.Limit: _limit,
    nodes.SquareRoot: lambda node, way: spread(root, way.range_of(way.value(node.part))),
    nodes.ToReal: lambda node, way: spread(float, way.range_of(way.value(node.part))),
    nodes.ToTime: _to_time,
    nodes.Rise: _edge,
    nodes.Fall: _edge,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}
