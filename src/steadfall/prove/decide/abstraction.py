"""How much of a network a requirement is tried on: little first, then more, at last all it depends on.

Rule of this file: what a level leaves out is set free, and may do anything; what is proved then holds. Only
the last level, with nothing free, can refute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.roles import Identity, Role


@frozen(eq=False)
class Level:
    """A part of the network, and which of its signals are set free."""

    name: str
    network: Network
    freed: tuple[str, ...]


def levels(watched: Watched, required: Required, goal: str) -> Iterator[Level]:
    """The parts of the network on which a goal is tried, least first."""
    own = watched.network.identities
    seen: set[tuple[str, ...]] = set()
    given = {row.name for row in watched.network.inputs}
    for name, freed in _choices(required):
        free_ones = {signal for signal, what in own.items() if freed(what)}
        part = cone(watched.network, [goal], free_ones.__contains__)
        free = tuple(sorted(row.name for row in part.inputs if row.name not in given))
        if free not in seen:
            seen.add(free)
            yield Level(name, part, free)


def _choices(required: Required) -> Iterator[tuple[str, Callable[[Identity], bool]]]:
    """What each level sets free, by what a signal is."""
    usual = as_usual(required.circuit)
    if required.circuit:
        yield "outputs", lambda signal: signal.role is Role.STAGE or usual(signal)
        yield "circuit", usual
    else:
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
