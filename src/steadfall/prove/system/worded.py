"""A network as text that says all of it, its numbers apart: what two questions have in common but for an
edited number.
"""

from __future__ import annotations

from typing import Any

from attrs import field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import besides, children

MEASURED = (Type.TIME, Type.REAL)  # of these a constant is a number that somebody may edit

Number = int | float


@frozen
class Worded:
    """All that a network says, without its times and levels, and these in their order."""

    shape: str = field(repr=False)
    numbers: tuple[Number, ...]


def worded(network: Network) -> Worded:
    """A network in words: rows in their order, own names, what is an observer."""
    numbers: list[Number] = []
    rows: list[Any] = [
        (row.name, row.type.value, row.holds, row.first, row.identity.watches) for row in network.inputs
    ]
    for row in network.assignments:
        begins = _number(row.initial, row.type, numbers)
        rows.append(
            (row.name, row.type.value, begins, row.holds, row.identity.watches, _node(row.node, numbers))
        )
    return Worded(repr(rows), tuple(numbers))


def _node(node: Node, numbers: list[Number]) -> Any:
    if isinstance(node, nodes.Constant):
        return _number(node.value, node.type, numbers)
    if isinstance(node, nodes.Since):
        return "Since", node.event, _number(node.limit_ms, Type.TIME, numbers)
    return type(node).__name__, besides(node), *(_node(part, numbers) for part in children(node))


def _number(value: Any, type_: Type, numbers: list[Number]) -> Any:
    if type_ not in MEASURED:
        return type_.value, value
    numbers.append(value)
    return type_.value
