"""Counts in a controller's text: whole numbers there, measured values like any other in the plan's network.

Rule of this file: only what does the same is changed: a count that is made a REAL at once, or compared with a
constant. One with which a text does anything else stays a whole number everywhere.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.logic.nodes import Compare, Constant, Node, Previous, Read, ToReal, Type
from steadfall.logic.types import children, rebuilt
from steadfall.plan.meaning.handed import whole_type
from steadfall.plan.model import Plan


def counts_as_measured(plan: Plan, network: Network) -> Network:
    """The network with the counts of the plan's inputs as REAL, where it only measures with them."""
    known = plan.inputs
    counts = {row.name for row in network.inputs if row.name in known and whole_type(known[row.name])}
    counts &= {row.name for row in network.inputs if row.type is Type.INT}
    counts -= {name for row in network.assignments for name in _besides(row.node, counts)}
    if not counts:
        return network
    inputs = (
        evolve(row, type=Type.REAL, holds=None, first=None) if row.name in counts else row
        for row in network.inputs
    )
    rows = (evolve(row, node=_measured(row.node, counts)) for row in network.assignments)
    return evolve(network, inputs=tuple(inputs), assignments=tuple(rows))


def _besides(node: Node, counts: Collection[str]) -> Iterable[str]:
    """The counts with which a node does more than measure."""
    if _measured(node, counts, inner=False) is not node:
        return
    if isinstance(node, Read | Previous) and node.name in counts:
        yield node.name
    for part in children(node):
        yield from _besides(part, counts)


def _measured(node: Node, counts: Collection[str], *, inner: bool = True) -> Node:
    """A node in which counts are REAL; with `inner`, also within its parts."""
    if isinstance(node, ToReal) and _is_count(node.part, counts):
        return _as_real(node.part)
    if isinstance(node, Compare) and _is_compared(node, counts):
        return evolve(node, left=_as_real(node.left), right=_as_real(node.right))
    return rebuilt(node, lambda part: _measured(part, counts)) if inner else node


def _is_compared(node: Compare, counts: Collection[str]) -> bool:
    """Whether it compares a count with a constant."""
    sides = (node.left, node.right), (node.right, node.left)
    return any(_is_count(one, counts) and isinstance(other, Constant) for one, other in sides)


def _is_count(node: Node, counts: Collection[str]) -> bool:
    return isinstance(node, Read | Previous) and node.name in counts


def _as_real(node: Node) -> Node:
    if isinstance(node, Constant):
        return evolve(node, value=float(node.value), type=Type.REAL)
    return evolve(node, type=Type.REAL) if isinstance(node, Read | Previous) else node
