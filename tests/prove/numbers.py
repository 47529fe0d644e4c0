"""Every number of a controller moved a little: by one per cent and by one scan, up and down.

Rule of this file: a number is a time or a measured value that stands in the network, where it stands; in one
place alone it is moved. What a stage that does not dose borrows is one number, in however many entries. A
clock that a moved time is compared with counts on far enough; the limit at which it stops is a number of its
own.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import attrs
from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Constant, Node, Type
from steadfall.logic.types import rebuilt, walk

UP, DOWN, LATER, SOONER = "+1 %", "-1 %", "a scan more", "a scan less"
MOVES = (UP, DOWN, LATER, SOONER)


@frozen
class Number:
    """A number of a network: its signal, which of the constants there, or none: the limit of its clock."""

    signal: str
    places: tuple[int, ...]
    label: str
    value: float
    kind: Type
    line: int  # of the plan

    @property
    def shown(self) -> str:
        """It as a person reads it."""
        return f"{self.value:g} ms" if self.kind is Type.TIME else f"{self.value:g}"

    def moved(self, scan_ms: int) -> dict[str, float]:
        """What it is after each move that changes it; of two moves to the same value the first."""
        part = self.value / 100
        by = {UP: part, DOWN: -part}
        if self.kind is Type.TIME:
            by = {UP: round(part), DOWN: -round(part), LATER: scan_ms, SOONER: -scan_ms}
        to = {move: self.value + much for move, much in by.items() if much}
        values = list(to.values())
        return {move: value for at, (move, value) in enumerate(to.items()) if value not in values[:at]}


def numbers(network: Network) -> Iterator[Number]:
    """Every number, in the order in which a scan comes to it."""
    for row in network.assignments:
        if isinstance(row.node, nodes.Since):
            yield Number(row.name, (), "limit", row.node.limit_ms, Type.TIME, row.mark.line)
        same: dict[tuple[str, float], list[int]] = {}
        constants = list(_constants(row.node))
        for place, one in enumerate(constants):
            what = f"{one.label} {place}" if one.label else ""  # what has no name of its own is borrowed
            same.setdefault((what, one.value), []).append(place)
        for places in same.values():
            one = constants[places[0]]
            line = one.mark.line or row.mark.line
            yield Number(row.name, tuple(places), one.label, one.value, one.type, line)


def _constants(node: Node) -> Iterator[Constant]:
    for part in walk(node):
        if isinstance(part, Constant) and part.type in (Type.TIME, Type.REAL):
            yield part


def with_moved(network: Network, number: Number, to: float) -> Network:
    """The network with one number moved."""
    rows = tuple(_moved(row, number, to) for row in network.assignments)
    return attrs.evolve(network, assignments=rows)


def _moved(row: Assignment, number: Number, to: float) -> Assignment:
    """An assignment with the number moved where it is the one; a clock's limit grows with any time."""
    node = row.node
    if isinstance(node, nodes.Since):
        if not number.places:
            limit = int(to) if row.name == number.signal else node.limit_ms
        else:
            limit = node.limit_ms + (int(max(0, to - number.value)) if number.kind is Type.TIME else 0)
        return attrs.evolve(row, node=attrs.evolve(node, limit_ms=limit))
    if row.name != number.signal:
        return row
    return attrs.evolve(row, node=_put(node, itertools.count(), number, to))


def _put(node: Node, count: Iterator[int], number: Number, to: float) -> Node:
    if isinstance(node, Constant) and node.type in (Type.TIME, Type.REAL):
        value = int(to) if node.type is Type.TIME else to
        return attrs.evolve(node, value=value) if next(count) in number.places else node
    return rebuilt(node, lambda part: _put(part, count, number, to))
