"""Which times each clock of a network is compared with: where something may come to pass.

Rule of this file: a clock and a time that stand on the two sides of a comparison, or a timer and its preset,
however many signals lie between. What is not a constant is left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Set

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import TIMERS, Node, Type
from steadfall.logic.types import type_of, walk
from steadfall.prove.system.kept import age, elapsed

_DEEPEST = 4  # signals within signals
Clocks = frozenset[str]
Times = frozenset[int]


def dues(network: Network) -> Mapping[str, Set[int]]:
    """For each clock, by the key of its part of the state, the times that it is compared with."""
    rows = {row.name: row for row in network.assignments}
    found: dict[str, set[int]] = {}

    def met(clocks: Clocks, times: Times) -> None:
        for clock in clocks:
            found.setdefault(clock, set()).update(times)

    for row in network.assignments:
        if isinstance(row.node, TIMERS):
            met(frozenset({elapsed(row.name)}), _sides(row.node.preset, rows, _DEEPEST)[1])
        for node in walk(row.node):
            if isinstance(node, nodes.Compare) and type_of(node.left) is Type.TIME:
                (left, low), (right, high) = (
                    _sides(side, rows, _DEEPEST) for side in (node.left, node.right)
                )
                met(left, high)
                met(right, low)
    return found


def _sides(node: Node, rows: Mapping[str, Assignment], depth: int) -> tuple[Clocks, Times]:
    """The clocks and the constant times that a node may stand for."""
    clocks, times = set[str](), set[int]()
    for part in walk(node):
        if isinstance(part, nodes.Constant) and part.type is Type.TIME:
            times.add(int(part.value))
        elif isinstance(part, nodes.Elapsed):
            clocks.add(elapsed(part.timer))
        elif isinstance(part, nodes.Read | nodes.Previous) and part.name in rows:
            row = rows[part.name]
            if isinstance(row.node, nodes.Since):
                clocks.add(age(part.name))
            elif row.type is Type.TIME and depth and not row.is_block:
                more = _sides(row.node, rows, depth - 1)
                clocks |= more[0]
                times |= more[1]
    return frozenset(clocks), frozenset(times)
