"""Clocks that may count on past their end, because nothing in the network could tell.

Rule of this file: `Since` stops at its limit. Where every use of it is a comparison with times that the limit
already decides, counting on gives the same answers in every scan; and a clock without an end keeps its
distance from the others for ever, which is what most proofs need to say. Whatever is unclear keeps its end.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from steadfall.comparisons import MIRROR
from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node
from steadfall.logic.types import children
from steadfall.prove.system.bounds.ranges import Range, of

_AT_THE_END = {
    "<",
    ">=",
}  # `clock OP x` tells the same of a clock at its limit and past it even where x is the limit


def unbounded(network: Network, known: Mapping[str, Range]) -> frozenset[str]:
    """The `Since` clocks of a network that may count on; `known`: the ends of its whole numbers and times."""
    limits = {row.name: row.node.limit_ms for row in network.assignments if isinstance(row.node, nodes.Since)}
    kept = {name for row in network.assignments for name in _seen(row.node, limits, known)}
    return frozenset(limits.keys() - kept)


def _seen(node: Node, limits: Mapping[str, int], known: Mapping[str, Range]) -> Iterable[str]:
    """The clocks whose end a node may see."""
    if isinstance(node, nodes.Read | nodes.Previous):
        if node.name in limits:
            yield node.name
        return
    parts = children(node)
    if isinstance(node, nodes.Compare):
        for one, other, op in ((node.left, node.right, node.op), (node.right, node.left, MIRROR[node.op])):
            if not (
                isinstance(one, nodes.Read)
                and one.name in limits
                and _decided(op, limits[one.name], other, known)
            ):
                yield from _seen(one, limits, known)
        return
    for part in parts:
        yield from _seen(part, limits, known)


def _decided(op: str, limit: int, other: Node, known: Mapping[str, Range]) -> bool:
    """Whether `clock OP other` is the same for a clock at its limit and for any later one."""
    high = of(other, known)[1]
    return high < limit or (high == limit and op in _AT_THE_END)
