"""What a controller may be in: the values of its signals, which clocks run, and since when."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import evolve, field, frozen

from steadfall.bench.explain.amount import Amount, Range
from steadfall.bench.explain.decided import Decided
from steadfall.bench.explain.zone import OWN, Zone, anywhere
from steadfall.logic.network import Network
from steadfall.logic.nodes import TIMERS, Since, Type, Value
from steadfall.scan.interpreter import Scanner
from steadfall.source import AskError

REST_MS, MOST_RESTS = 3_600_000, 60
RESTLESS = "with these inputs the logic never comes to rest; say when the controller was powered up"


@frozen(eq=False)
class Shape:
    """Of a network: the place of each clock in a zone, the signals that a scan hands to the next, and what
    inputs alone decide.
    """

    network: Network
    places: Mapping[str, int]
    kept: frozenset[str]
    decided: Decided

    @property
    def types(self) -> Mapping[str, Type]:
        """Every signal's."""
        return self.network.types


def shape(network: Network) -> Shape:
    """That of a network."""
    clocks = [row.name for row in network.assignments if isinstance(row.node, (*TIMERS, Since))]
    places = {name: OWN + at for at, name in enumerate(clocks)}
    whole = {row.name for row in network.assignments if row.type in (Type.BOOL, Type.INT)}
    return Shape(network, places, frozenset(whole | set(network.remembered)), Decided(network))


@frozen(eq=False)
class World:
    """The controller after a scan. `ages`: what clocks show; `states`: what blocks remember besides."""

    values: Mapping[str, Amount]
    ages: Mapping[str, Amount]
    states: Mapping[str, int]
    zone: Zone
    begun: bool = True
    before: World | None = field(default=None, repr=False)  # where it comes from, at its last change

    @property
    def key(self) -> tuple[Any, ...]:
        """All of it but moments and the ends of ranges; two with the same key differ in nothing else."""
        values = (Range if isinstance(value, Range) else value for value in self.values.values())
        return (self.begun, *values, *self.ages.values(), *self.states.values())

    def around(self, other: World) -> World:
        """The least world around two with the same key."""
        values = {name: _around(value, other.values[name]) for name, value in self.values.items()}
        return evolve(self, values=values, zone=self.zone.around(other.zone))

    def holds(self, other: World) -> bool:
        """Whether all that the other may be, with the same key, this may be too."""
        return self.zone.holds(other.zone) and all(
            value.low <= other.values[name].low and value.high >= other.values[name].high
            for name, value in self.values.items()
            if isinstance(value, Range)
        )


def _around(one: Amount, two: Amount) -> Amount:
    if not isinstance(one, Range):
        return one
    return Range(min(one.low, two.low), max(one.high, two.high))


def at_rest(network: Network, inputs: Mapping[str, Value]) -> Scanner:
    """A network that has stood with these inputs for long. Raises AskError where it never rests."""
    scanner, before = Scanner(network), None
    for _ in range(MOST_RESTS):
        scanner.scan(REST_MS, inputs)
        clocks = {name: (clock.et, clock.state) for name, clock in scanner.clocks.items()}
        now = (dict(scanner.values), clocks)
        if now == before:
            return scanner
        before = now
    raise AskError(RESTLESS)


def rested(made: Shape, inputs: Mapping[str, Value]) -> World:
    """The controller when it has stood with these inputs for long. Raises AskError where it never rests."""
    scanner = at_rest(made.network, inputs)
    values = {name: value for name, value in scanner.values.items() if name in made.kept}
    ages = {
        name: scanner.clocks[name].et
        if isinstance(made.network.rows[name].node, TIMERS)
        else scanner.values[name]
        for name in made.places
    }
    states = {row.name: scanner.clocks[row.name].state for row in made.network.assignments if row.is_block}
    return World(values, ages, states, anywhere(len(made.places)))


def unborn(made: Shape) -> World:
    """The controller before its first scan."""
    rows = made.network.assignments
    initial = {row.name: row.initial for row in made.network.inputs} | {row.name: row.initial for row in rows}
    values = {name: value for name, value in initial.items() if name in made.kept}
    ages = {name: made.network.rows[name].initial if isinstance(made.network.rows[name].node, Since) else 0
            for name in made.places}  # fmt: skip
    states = {row.name: 0 for row in rows if row.is_block}
    return World(values, ages, states, anywhere(len(made.places)), begun=False)
