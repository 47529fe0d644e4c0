"""What a controller may be in: the values of its signals, which clocks run, and since when."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence, Set
from typing import Any

from attrs import evolve, field, frozen

from steadfall.bench.judge.explain.amount import Amount, Range
from steadfall.bench.judge.explain.decided import Decided
from steadfall.bench.judge.explain.smoothed import Course
from steadfall.bench.judge.explain.written import Made, function_of
from steadfall.bench.judge.explain.zone import OWN, Zone, anywhere
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import TIMERS, Since, Type, Value
from steadfall.scan.interpreter import Scanner
from steadfall.source import AskError

NONE: Mapping[str, Course] = {}
REST_MS, MOST_RESTS = 3_600_000, 60
RESTLESS = "with these inputs the logic never comes to rest; say when the controller was powered up"


@frozen(eq=False)
class Given:
    """Inputs with all that they alone decide, what of that a scan hands to the next, and what filters may
    have made of readings.
    """

    values: Mapping[str, Value]
    kept: Mapping[str, Value]
    courses: Mapping[str, Course] = field(factory=dict)


@frozen(eq=False)
class Shape:
    """Of a network: the place of each clock in a zone, the signals that a scan hands to the next, and what
    inputs alone decide.
    """

    network: Network
    places: Mapping[str, int]
    kept: frozenset[str]
    decided: Decided
    scan: Made = field(repr=False)
    loose: tuple[str, ...]  # what is kept and may be a range

    def given(self, inputs: Mapping[str, Value], courses: Mapping[str, Course] = NONE) -> Given:
        """Inputs, and what they decide."""
        values = self.decided.values(inputs)
        return Given(values, {name: value for name, value in values.items() if name in self.kept}, courses)

    @property
    def types(self) -> Mapping[str, Type]:
        """Every signal's."""
        return self.network.types


def shape(network: Network) -> Shape:
    """That of a network."""
    decided = Decided(network)
    smoothed = {one.name for one in decided.filters}
    rest = _asked_for(network, decided.rest, smoothed)
    clocks = [row.name for row in rest if isinstance(row.node, (*TIMERS, Since))]
    places = {name: OWN + at for at, name in enumerate(clocks)}
    whole = {row.name for row in network.assignments if row.type in (Type.BOOL, Type.INT)}
    kept = frozenset((whole | set(network.remembered)) - smoothed)
    scan, loose = function_of(rest, kept, smoothed)
    return Shape(network, places, kept, decided, scan, loose)


def _asked_for(network: Network, rest: Sequence[Assignment], smoothed: Set[str]) -> list[Assignment]:
    """Without the time of a scan where filters alone ask for it."""
    fed = {name for row in rest if row.name in smoothed for name in row.reads}
    read = {name for row in network.assignments if row.name not in smoothed for name in row.reads}
    return [row for row in rest if row.type is not Type.TIME or row.name not in fed - read]


@frozen(eq=False)
class World:
    """The controller after a scan. `ages`: what clocks show; `states`: what blocks remember besides.

    `key`: all of it but moments and the ends of ranges; two with the same key differ in nothing else.
    """

    values: Mapping[str, Amount]
    ages: Mapping[str, Amount]
    states: Mapping[str, int]
    zone: Zone
    key: tuple[Any, ...] = field(repr=False)
    ranged: tuple[str, ...] = ()  # the values that are ranges
    begun: bool = True
    before: World | None = field(default=None, repr=False)  # where it comes from, at its last change

    def within(self, zone: Zone) -> World:
        """The same with other bounds between moments."""
        own = (self.values, self.ages, self.states)
        return World(*own, zone, self.key, self.ranged, self.begun, self.before)

    def around(self, other: World) -> World:
        """The least world around two with the same key; it comes from where this one does."""
        zone = self.zone.around(other.zone)
        if not self.ranged:
            return self.within(zone)
        wider = {name: self.values[name].around(other.values[name]) for name in self.ranged}
        return evolve(self, values={**self.values, **wider}, zone=zone)

    def holds(self, other: World) -> bool:
        """Whether all that the other may be, with the same key, this may be too."""
        ranges = ((self.values[name], other.values[name]) for name in self.ranged)
        return self.zone.holds(other.zone) and all(own.holds(its) for own, its in ranges)


def world(
    made: Shape,
    kept: tuple[Mapping[str, Amount], Mapping[str, Amount], Mapping[str, int]],
    zone: Zone,
    *,
    begun: bool = True,
    before: World | None = None,
) -> World:
    """A world of values, ages and states."""
    values, ages, states = kept
    ranged = tuple(name for name in made.loose if isinstance(values[name], Range))
    shown = {**values, **dict.fromkeys(ranged, Range)} if ranged else values
    key = (begun, *shown.values(), *ages.values(), *states.values())
    return World(values, ages, states, zone, key, ranged, begun, before)


def at_rest(
    network: Network, inputs: Mapping[str, Value], retained: Mapping[str, Value] | None = None
) -> Scanner:
    """A network that has stood with these inputs for long; `retained`: with this from before it had power.

    Raises AskError where it never rests.
    """
    scanner, before = Scanner(network), None
    scanner.values |= retained or {}
    for _ in range(MOST_RESTS):
        scanner.scan(REST_MS, inputs)
        clocks = {name: (clock.et, clock.state) for name, clock in scanner.clocks.items()}
        now = (dict(scanner.values), clocks)
        if now == before:
            return scanner
        before = now
    raise AskError(RESTLESS)


def rested(
    made: Shape,
    inputs: Mapping[str, Value],
    forgotten: Collection[str] = (),
    retained: Mapping[str, Amount] | None = None,
) -> World:
    """The controller when it has stood with these inputs for long. Raises AskError where it never rests.

    `forgotten`: what remembers whether something has been so, and is off. `retained`: what it has kept
    without power.
    """
    kept = retained or {}
    known = {name: value for name, value in kept.items() if not isinstance(value, Range)}
    scanner = at_rest(made.network, inputs, known)
    rest = [row.name for row in made.decided.rest if row.name in made.kept]
    values = {**made.given(inputs).kept, **{name: scanner.values[name] for name in rest}}
    values |= {**dict.fromkeys(forgotten, False), **kept}
    ages = {
        name: scanner.clocks[name].et
        if isinstance(made.network.rows[name].node, TIMERS)
        else scanner.values[name]
        for name in made.places
    }
    states = {row.name: scanner.clocks[row.name].state for row in made.network.assignments if row.is_block}
    return world(made, (values, ages, states), anywhere(len(made.places)))


def unborn(made: Shape, retained: Mapping[str, Amount] | None = None) -> World:
    """The controller before its first scan, with what it has kept without power."""
    rows = made.network.assignments
    initial = {row.name: row.initial for row in made.network.inputs} | {row.name: row.initial for row in rows}
    values = {name: value for name, value in initial.items() if name in made.kept} | {**(retained or {})}
    ages = {name: made.network.rows[name].initial if isinstance(made.network.rows[name].node, Since) else 0
            for name in made.places}  # fmt: skip
    states = {row.name: 0 for row in rows if row.is_block}
    return world(made, (values, ages, states), anywhere(len(made.places)), begun=False)
