"""How much of a network a requirement is tried on: little first, then more, at last all it depends on.

Rule of this file: what a level leaves out is set free, and may do anything; what is proved then holds. Only
the last level, with nothing free, can refute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Read
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.roles import Identity, Role


@frozen(eq=False)
class Level:
    """A part of the network, and which of its signals are set free."""

    name: str
    network: Network
    freed: tuple[str, ...]


def levels(watched: Watched, required: Required, goal: str) -> list[Level]:
    """The parts of the network on which a goal is tried, least first."""
    own = watched.network.identities
    given = {row.name for row in watched.network.inputs}
    choices = [
        (name, {signal for signal, what in own.items() if freed(what)}) for name, freed in _choices(required)
    ]
    met = () if required.circuit else shared(watched, goal)
    found: dict[tuple[str, ...], Level] = {}
    for name, free_ones in [*choices, ("shared", met)]:
        part = cone(watched.network, [goal], free_ones.__contains__)
        free = tuple(sorted(row.name for row in part.inputs if row.name not in given))
        found.setdefault(free, Level(name, part, free))
    return sorted(found.values(), key=lambda one: (not one.freed, len(one.network.assignments)))


def shared(watched: Watched, goal: str) -> frozenset[str]:
    """What an observer reads of the controller, and something else that it reads is made of in the same scan:
    of a lamp and its condition, what the condition names. Mostly it does not matter what that does.
    """
    rows = watched.network.rows
    todo, own, read = [goal], set[str](), set[str]()
    while todo:
        name = todo.pop()
        if name in watched.controller:
            read.add(name)
        elif name in rows and name not in own:
            own.add(name)
            todo += rows[name].reads
    return frozenset(read & {below for name in read for below in _made_of(rows, name)})


def _made_of(rows: Mapping[str, Assignment], name: str) -> set[str]:
    """What a signal is made of in the same scan."""
    todo, found = [name], set[str]()
    while todo:
        row = rows.get(todo.pop())
        if row is not None:
            more = {part.name for part in row.naming if isinstance(part, Read)} - found
            found |= more
            todo += more
    return found


def _choices(required: Required) -> Iterator[tuple[str, Callable[[Identity], bool]]]:
    """What each level sets free, by what a signal is."""
    usual = as_usual(required.circuit)
    if required.circuit:
        yield "outputs", lambda signal: signal.role is Role.STAGE or usual(signal)
        yield "circuit", usual
    else:
        yield "alarms", lambda signal: signal.role is Role.ACTIVE
        yield "guards", usual
        yield "stages", lambda signal: signal.role in (Role.TRIPPED, Role.STAGE)
    yield "all", lambda _: False


def as_usual(circuit: str) -> Callable[[Identity], bool]:
    """What need not be known of most requirements of a circuit, or of those of none: trips and other
    circuits; valves and stages.
    """
    if circuit:
        return lambda signal: signal.role is Role.TRIPPED or signal.circuit not in ("", circuit)
    return lambda signal: signal.role in (Role.COMMAND, Role.STAGE)
