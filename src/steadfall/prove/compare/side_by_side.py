"""Two networks in one, with the same inputs in the same scans, and for each output a signal that tells when
it differs.

Rule of this file: what is the same in both, as far as its wording tells, stands there once. Stages are held
against each other by their names, not by their numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set

import attrs
from attrs import field, frozen

from steadfall.logic.cone import cone
from steadfall.logic.forms import any_of, boolean, different, lookup, opposite, whole
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Read, Type
from steadfall.plan.model import Plan
from steadfall.prove.compare.alike import Alike, alike
from steadfall.prove.compare.compared import SECOND
from steadfall.prove.system.renamed import renamed
from steadfall.roles import HELPER, Identity, Role

PARTED = "parted"
States = Mapping[
    str, tuple[Sequence[str], Sequence[str]]
]  # stage signal -> the names of its states, first and second


@frozen(eq=False)
class Pair:
    """What is held side by side: two networks in the names of the first, and how their inputs usually are."""

    usual: Plan
    first: Network
    second: Network
    longest_ms: int
    states: States = field(factory=dict)
    proved: Set[str] = frozenset()  # signals of which it has been proved that they are equal
    whole: Network = field(init=False)

    @whole.default
    def _whole(self) -> Network:
        return product(self.first, self.second, self.asked, self.states, self.proved)

    @property
    def both(self) -> tuple[str, ...]:
        """The outputs that both have, but for those that are a command turned round in both."""
        implied = _turned_round(self.first) & _turned_round(self.second)
        theirs = set(self.second.outputs) - implied
        return tuple(name for name in self.first.outputs if name in theirs)

    @property
    def asked(self) -> tuple[str, ...]:
        """What is asked after: the outputs, then the stages."""
        return (*self.both, *self.states)


def _turned_round(network: Network) -> set[str]:
    """The outputs that are the opposite of the command of their valve: equal where that is."""
    return {
        row.name
        for row in network.assignments
        if row.role is Role.ENERGISED
        and row.node == opposite(Read(row.identity.owner, Type.BOOL))
        and row.identity.owner in network.outputs
    }


def parted(name: str) -> str:
    """The signal that is true while an output differs."""
    return f"{name}:{PARTED}"


def product(
    first: Network, second: Network, outputs: Iterable[str], states: States, proved: Set[str] = frozenset()
) -> Network:
    """Both networks in one, with a signal for each of these outputs that tells whether it differs;
    `proved`: see `alike`.
    """
    lone = lone_inputs(first, second)
    names = {name: new for new, name in doubled(first, second).items()}
    known = {row.name for row in first.inputs}
    twins = {row.name: row for row in second.inputs if row.name not in lone}
    inputs = [row.beside(twins.get(row.name, row)) for row in first.inputs]
    inputs += [row for row in twins.values() if row.name not in known]
    inputs += [_of_second(row, names[row.name]) for row in second.inputs if row.name in lone]
    common = alike(first, second, proved)
    rows = [*_first(first, common), *_second(second, names, common)]
    types, apart = first.types, Identity(Role.APART)
    rows += [
        Assignment(parted(name), Type.BOOL, _apart(name, types[name], states), False, identity=apart)
        for name in outputs
    ]
    return Network(tuple(inputs), tuple(rows), ())


_COUNTED = (Role.COUNTS, Role.COUNT_RESET, Role.RUNNING, Role.STAGE)


def counted(pair: Pair) -> tuple[str, ...]:
    """What the counters of both can count; nothing where the first has none."""
    theirs = {row.name: row.type for row in pair.second.assignments if row.name not in pair.second.outputs}
    rows = [row for row in pair.first.assignments if theirs.get(row.name) is row.type]
    counts = any(row.role is Role.COUNTS for row in rows)
    return tuple(row.name for row in rows if counts and row.role in _COUNTED and row.name not in pair.states)


def hangs_on_counters(pair: Pair, name: str) -> bool:
    """Whether an output of the first depends on a counter: then like state with like state shows nothing."""
    return any(row.role is Role.COUNTER for row in cone(pair.first, [name]).assignments)


def doubled(first: Network, second: Network) -> dict[str, str]:
    """The signals that stand there for the second alone, each with its name in the second."""
    own = (*(row.name for row in second.assignments), *lone_inputs(first, second))
    return {name + SECOND: name for name in own}


def _of_second(row: Input, name: str) -> Input:
    return attrs.evolve(row, name=name, identity=attrs.evolve(row.identity, second=True))


def lone_inputs(first: Network, second: Network) -> frozenset[str]:
    """The inputs of the second that only share their name with something of the first: another type, or no
    input.
    """
    given = {row.name: row.type for row in first.inputs}
    types = first.types
    return frozenset(
        row.name for row in second.inputs if row.name in types and given.get(row.name) is not row.type
    )


def _first(first: Network, common: Alike) -> Iterable[Assignment]:
    """The rows of the first network; what it works out twice is read the second time."""
    for row in first.assignments:
        above = None if row.is_block else common.once.get(row.name)
        yield row if above is None else attrs.evolve(row, node=Read(above, row.type, mark=row.mark))


def _second(second: Network, names: Mapping[str, str], common: Alike) -> Iterable[Assignment]:
    """The rows of the second network; what the first has already is read there."""
    now = {**names, **common.twins}
    last = {name: name if name in common.same else new for name, new in names.items()}
    for row in second.assignments:
        twin = common.twins.get(row.name)
        node = renamed(row.node, now, last) if twin is None else Read(twin, row.type, mark=row.mark)
        identity = attrs.evolve(row.identity, second=True)
        yield attrs.evolve(row, name=names[row.name], node=node, identity=identity)


def _apart(name: str, kind: Type, states: States) -> Node:
    if name not in states:
        return different(Read(name, kind), Read(name + SECOND, kind))
    first, second = states[name]
    places = {state: place for place, state in enumerate(dict.fromkeys([*first, *second]))}
    sides = ((name, first), (name + SECOND, second))
    one, two = (lookup(Read(side, Type.INT), [whole(places[state]) for state in row]) for side, row in sides)
    return different(one, two)


def any_parted(whole_: Network, names: Iterable[str]) -> Network:
    """The same, with one signal more: that any of these outputs differs."""
    parts = any_of(Read(parted(name), Type.BOOL) for name in names)
    return attrs.evolve(
        whole_, assignments=(*whole_.assignments, Assignment(PARTED, Type.BOOL, parts, False))
    )


def held(network: Network, fixed: Mapping[str, bool]) -> Network:
    """The same with some switches, or signals of its own, that never change."""
    what = network.identities
    constant = {
        name: Assignment(name, Type.BOOL, boolean(on), on, identity=what.get(name, HELPER))
        for name, on in fixed.items()
    }
    given = [constant[row.name] for row in network.inputs if row.name in constant]
    inputs = tuple(row for row in network.inputs if row.name not in constant)
    rows = (constant.get(row.name, row) for row in network.assignments)
    return attrs.evolve(network, inputs=inputs, assignments=(*given, *rows))


def looked_at(network: Network, outputs: Iterable[str]) -> set[str]:
    """The inputs on which some of these outputs depend."""
    return {row.name for row in cone(network, outputs).inputs}


def under(network: Network, name: Callable[[str], str]) -> Network:
    """The same network in other names."""
    table = {old: name(old) for old in network.types}
    return Network(
        tuple(attrs.evolve(row, name=table[row.name]) for row in network.inputs),
        tuple(
            attrs.evolve(row, name=table[row.name], node=renamed(row.node, table))
            for row in network.assignments
        ),
        tuple(table[row] for row in network.outputs),
    )
