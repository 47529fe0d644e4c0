"""How much of a network a requirement is tried on: little first, then more, at last all it depends on.

Rule of this file: what a level leaves out is set free, and may do anything; what is proved then holds. Only
the last level, with nothing free, can refute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.system.cone import cone


@frozen(eq=False)
class Level:
    """A part of the network, and which of its signals are set free."""

    name: str
    network: Network
    freed: tuple[str, ...]


def levels(watched: Watched, required: Required, goal: str) -> Iterator[Level]:
    """The parts of the network on which a goal is tried, least first."""
    own = {row.name for row in watched.network.assignments}
    seen: set[tuple[str, ...]] = set()
    for name, freed in _choices(watched, required):
        part = cone(watched.network, [goal], freed)
        free = tuple(sorted(row.name for row in part.inputs if row.name in own))
        if free not in seen:
            seen.add(free)
            yield Level(name, part, free)


def _choices(watched: Watched, required: Required) -> Iterator[tuple[str, Callable[[str], bool]]]:
    plan, outputs = watched.plan, frozenset(watched.network.outputs)
    others = tuple(f"{name}." for name in plan.circuits if name != required.circuit)
    if required.circuit:
        yield "outputs", lambda name: name == "tripped" or name.endswith(".stage") or name.startswith(others)
        yield "circuit", lambda name: name == "tripped" or name.startswith(others)
    else:
        yield "guards", lambda name: name in outputs or name.endswith(".stage")
        yield "stages", lambda name: name == "tripped" or name.endswith(".stage")
    yield "all", lambda _: False
