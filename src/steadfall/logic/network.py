"""A network: assignments in order, evaluated once per scan from top to bottom.

Rule of this file: a Network that exists is sound. Its maker checks that every signal is defined before it is
read (or is read as it was in the last scan), that types fit, that nothing is assigned twice, and that blocks
are named. The elapsed time since the last scan is what the timers count; in the first scan it is 0.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from attrs import evolve, field, frozen

from steadfall.logic.nodes import BLOCKS, TIMERS, Elapsed, Ends, Node, Previous, Read, Since, Type, Value
from steadfall.logic.types import NetworkError, type_of, walk
from steadfall.roles import HELPER, Identity, Role
from steadfall.source import NOWHERE, Mark

Naming = Read | Previous | Elapsed | Since
NAMING = (Read, Previous, Elapsed, Since)
ZERO: Mapping[Type, Value] = {Type.BOOL: False, Type.TIME: 0, Type.INT: 0, Type.REAL: 0.0}


@frozen
class Input:
    """A signal that comes from outside; `holds`: between which ends an INT stays, None where nothing is
    known. Before it is given it is `first`, where that is None false, or 0. A `retained` one keeps its value
    while power is off.
    """

    name: str
    type: Type
    holds: Ends | None = field(default=None, kw_only=True)
    first: Value | None = field(default=None, kw_only=True)
    retained: bool = field(default=False, eq=False, repr=False, kw_only=True)
    mark: Mark = field(default=NOWHERE, eq=False, repr=False, kw_only=True)
    identity: Identity = field(default=Identity(Role.INPUT), eq=False, repr=False, kw_only=True)

    @property
    def initial(self) -> Value:
        """Its value before it is given."""
        return ZERO[self.type] if self.first is None else self.first

    def check(self, value: Value) -> None:
        """Raises ValueError for a value that it cannot be given."""
        if self.holds and not self.holds[0] <= value <= self.holds[1]:
            raise ValueError(
                f"'{self.name}' lies between {self.holds[0]} and {self.holds[1]} and cannot be {value}"
            )

    def beside(self, other: Input) -> Input:
        """The same input for two networks: it may be whatever either of them takes."""
        both = (
            self.holds
            and other.holds
            and (min(self.holds[0], other.holds[0]), max(self.holds[1], other.holds[1]))
        )
        return evolve(self, holds=both or None)


@frozen
class Assignment:
    """One signal and what it is given in each scan; `initial` is its value before the first scan.

    `holds`: what the controller's variable can hold where it is an INT; beyond that nobody can say what it
    does. A `retained` one keeps its value while power is off.
    """

    name: str
    type: Type
    node: Node
    initial: Value
    holds: Ends | None = field(default=None, eq=False, repr=False, kw_only=True)
    retained: bool = field(default=False, repr=False, kw_only=True)
    mark: Mark = field(default=NOWHERE, eq=False, repr=False, kw_only=True)
    identity: Identity = field(default=HELPER, eq=False, repr=False, kw_only=True)

    @property
    def role(self) -> Role:
        """What the signal is for."""
        return self.identity.role

    @property
    def spared(self) -> bool:
        """Whether a power cut leaves it as it is."""
        return self.retained or self.identity.watches

    @cached_property
    def parts(self) -> tuple[Node, ...]:
        """Its node and everything within it, outermost first."""
        return tuple(walk(self.node))

    @cached_property
    def naming(self) -> tuple[Naming, ...]:
        """Those of them that name another signal, and whether that is of this scan or of the last."""
        return tuple(part for part in self.parts if isinstance(part, NAMING))

    @cached_property
    def reads(self) -> frozenset[str]:
        """The signals that it looks at, in this scan or the last."""
        return frozenset(map(named, self.naming))

    @cached_property
    def sound(self) -> bool:
        """Whether it means something by itself; raises NetworkError where it does not."""
        _check_alone(self)
        return True

    @property
    def is_block(self) -> bool:
        """Whether it keeps something from scan to scan beside its value."""
        return isinstance(self.node, BLOCKS)


@frozen
class Network:
    """Inputs, assignments in order, and the outputs among the assigned signals."""

    inputs: tuple[Input, ...]
    assignments: tuple[Assignment, ...]
    outputs: tuple[str, ...]

    def __attrs_post_init__(self) -> None:
        _check(self)

    @property
    def types(self) -> dict[str, Type]:
        """Every signal and its type: inputs first, then assignments in order."""
        return {row.name: row.type for row in self.inputs} | {row.name: row.type for row in self.assignments}

    @cached_property
    def rows(self) -> Mapping[str, Assignment]:
        """Every assignment by its name."""
        return {row.name: row for row in self.assignments}

    @cached_property
    def given(self) -> Mapping[str, Input]:
        """Every input by its name."""
        return {row.name: row for row in self.inputs}

    @property
    def identities(self) -> dict[str, Identity]:
        """What every signal is, by its name."""
        given = {row.name: row.identity for row in self.inputs}
        return given | {row.name: row.identity for row in self.assignments}

    def named(self, role: Role) -> tuple[str, ...]:
        """The assigned signals of a role, in order."""
        return tuple(row.name for row in self.assignments if row.role is role)

    @property
    def remembered(self) -> tuple[str, ...]:
        """The signals whose last value some node reads: with the blocks, all that a scan hands to the
        next.
        """
        found: dict[str, None] = {}
        for row in self.assignments:
            for node in row.naming:
                if isinstance(node, Previous | Since):
                    found.setdefault(named(node))
        return tuple(found)


def named(node: Naming) -> str:
    """The signal that a node names."""
    if isinstance(node, Since):
        return node.event
    return node.timer if isinstance(node, Elapsed) else node.name


def _check(network: Network) -> None:
    types: dict[str, Type] = {}
    for name, type_, mark in (
        *((row.name, row.type, row.mark) for row in network.inputs),
        *((row.name, row.type, row.mark) for row in network.assignments),
    ):
        if name in types:
            raise NetworkError(f"{mark}: '{name}' is assigned twice")
        types[name] = type_
    missing = [name for name in network.outputs if name not in {row.name for row in network.assignments}]
    if missing:
        raise NetworkError(f"outputs that nothing assigns: {missing}")
    for given in network.inputs:
        if given.holds and (given.type is not Type.INT or not given.holds[0] <= 0 <= given.holds[1]):
            raise NetworkError(
                f"{given.mark}: '{given.name}' is a {given.type.value} and cannot hold {given.holds}"
            )
    defined = {row.name for row in network.inputs}
    timers: set[str] = set()
    for row in network.assignments:
        _check_assignment(row, types, defined, timers)
        defined.add(row.name)
        if isinstance(row.node, TIMERS):
            timers.add(row.name)


def _check_assignment(
    row: Assignment, types: Mapping[str, Type], defined: set[str], timers: set[str]
) -> None:
    for node in row.naming:
        if isinstance(node, Read) and node.name not in defined:
            raise NetworkError(f"{node.mark}: '{node.name}' is read in '{row.name}' before it has a value")
        if isinstance(node, Elapsed) and node.timer not in timers:
            raise NetworkError(f"{node.mark}: '{node.timer}' is not a timer above '{row.name}'")
        if isinstance(node, Since) and types.get(node.event) is not Type.BOOL:
            raise NetworkError(f"{node.mark}: '{node.event}' is not a BOOL signal")
        if isinstance(node, Read | Previous) and types.get(node.name) is not node.type:
            raise NetworkError(f"{node.mark}: '{node.name}' is not a {node.type.value} signal")
    assert row.sound  # noqa: S101 - else it has raised


def _check_alone(row: Assignment) -> None:
    for node in row.parts:
        if isinstance(node, BLOCKS) and node is not row.node:
            raise NetworkError(
                f"{row.mark}: a {type(node).__name__} within '{row.name}' has no name of its own"
            )
    if type_of(row.node) is not row.type:
        raise NetworkError(
            f"{row.mark}: '{row.name}' is a {row.type.value} and is given a {type_of(row.node).value}"
        )
    if type(row.initial) is not type(ZERO[row.type]):
        raise NetworkError(f"{row.mark}: {row.initial!r} is not a {row.type.value}")
    if isinstance(row.node, Since) and row.initial < 0:
        raise NetworkError(
            f"{row.mark}: '{row.name}' cannot begin {row.initial} ms after what it counts from"
        )
