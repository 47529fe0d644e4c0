"""Which times each clock of a network is compared with: where something may come to pass.

Rule of this file: a clock and a time that stand on the two sides of a comparison, or a timer and its preset,
however many signals lie between. What is not a constant is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import TIMERS, Node, Type
from steadfall.logic.types import type_of, walk
from steadfall.prove.system.kept import age, elapsed

_DEEPEST = 4  # signals within signals
Clocks = Sequence[str]
Times = Sequence[int]


def dues(network: Network) -> Mapping[str, Set[int]]:
    """For each clock, by the key of its part of the state, the times that it is compared with."""
    found: dict[str, set[int]] = {}
    for clock, times in meetings(network):
        found.setdefault(clock, set()).update(times)
    return found


def meetings(network: Network) -> Iterator[tuple[str, Times]]:
    """A clock and times that it is compared with, in the order in which the network says so."""
    rows = {row.name: row for row in network.assignments}
    for row in network.assignments:
        if isinstance(row.node, TIMERS):
            yield elapsed(row.name), _sides(row.node.preset, rows, _DEEPEST)[1]
        for node in row.parts:
            if isinstance(node, nodes.Compare) and type_of(node.left) is Type.TIME:
                (left, low), (right, high) = (
                    _sides(side, rows, _DEEPEST) for side in (node.left, node.right)
                )
                yield from ((clock, high) for clock in left)
                yield from ((clock, low) for clock in right)


def _sides(node: Node, rows: Mapping[str, Assignment], depth: int) -> tuple[Clocks, Times]:
    """The clocks and the constant times that a node may stand for."""
    clocks, times = dict[str, None](), list[int]()
    for part in walk(node):
        if isinstance(part, nodes.Constant) and part.type is Type.TIME:
            times.append(int(part.value))
        elif isinstance(part, nodes.Elapsed):
            clocks[elapsed(part.timer)] = None
        elif isinstance(part, nodes.Read | nodes.Previous) and part.name in rows:
            row = rows[part.name]
            if isinstance(row.node, nodes.Since):
                clocks[age(part.name)] = None
            elif row.type is Type.TIME and depth and not row.is_block:
                more = _sides(row.node, rows, depth - 1)
                clocks |= dict.fromkeys(more[0])
                times += more[1]
    return tuple(clocks), times
