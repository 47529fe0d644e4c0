"""What a model keeps from scan to scan: a slot for each part of the state."""

from __future__ import annotations

import math
from collections.abc import Set

from attrs import evolve, field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import TIMERS, Type
from steadfall.prove.system.bounds.ranges import Range, ranges
from steadfall.prove.system.kept import SETTLED, STARTED, Part, key_of, lasting
from steadfall.prove.system.reals import measured


@frozen
class Slot:
    """A part of the state: what it is, how it begins, between which ends it stays."""

    part: Part | None  # None: of the whole controller
    name: str  # the signal of which it is; else what it is
    initial: bool | int | float  # a float: a measured value, in an exact model
    low: float = -math.inf
    high: float = math.inf
    clock: bool = False  # grows with time
    watches: bool = False  # of an observer
    spared: bool = False  # a power cut leaves it: of an observer, or retained
    key: str = field(init=False)

    @key.default
    def _key(self) -> str:
        return key_of(self.part, self.name) if self.part else self.name


def slots_of(
    network: Network, free: Set[str], *, exact: bool = False, single: bool = False
) -> tuple[Slot, ...]:
    """The state of a network; `free`: clocks without an end."""
    known, observers = ranges(network), {name for name, what in network.identities.items() if what.watches}
    whole = [Slot(None, STARTED, False), *([] if single else [Slot(None, SETTLED, False)])]
    found = [*whole, *_lasts(network, known), *_blocks(network, known, free)]
    found += [Slot(*row) for row in measured(network) if exact]
    kept = {row.name for row in network.assignments if row.retained}
    return tuple(
        evolve(slot, watches=watches, spared=watches or (slot.part is Part.LAST and slot.name in kept))
        for slot in found
        for watches in (bool(slot.part) and slot.name in observers,)
    )


def _lasts(network: Network, known: dict[str, Range]) -> list[Slot]:
    types, initial = network.types, {row.name: row.initial for row in network.assignments}
    found = []
    for name in lasting(network):
        if types[name] is Type.BOOL:
            found.append(Slot(Part.LAST, name, bool(initial.get(name, False))))
        elif types[name] is not Type.REAL:
            found.append(Slot(Part.LAST, name, int(initial.get(name, 0)), *known[name]))
    return found


def _blocks(network: Network, known: dict[str, Range], free: Set[str]) -> list[Slot]:
    initial, found = {row.name: row.initial for row in network.assignments}, []
    for row in network.assignments:
        name = row.name
        if isinstance(row.node, nodes.Since):
            begun = bool(initial.get(row.node.event, False))
            low, high = known[name]
            end = math.inf if name in free else high
            found.append(Slot(Part.AGE, name, 0 if begun else int(row.initial), low, end, clock=True))
        if isinstance(row.node, nodes.Rise | nodes.Fall):
            found.append(Slot(Part.STATE, name, False))
        if isinstance(row.node, TIMERS):
            found.append(Slot(Part.ELAPSED, name, 0, *known[f"{name}.ET"], clock=True))
            two = isinstance(row.node, nodes.Ton)
            found.append(Slot(Part.STATE, name, False) if two else Slot(Part.STATE, name, 0, 0, 3))
    return found
