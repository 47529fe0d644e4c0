"""What a condition says of the whole numbers that it compares with constants.

Rule of this file: only what must be so while the condition holds (or does not hold) is said; anything unclear
says nothing. A signal is looked through to what it is given, since that is worked out in the same scan.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from steadfall.comparisons import MIRROR, NEGATION
from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Type

Fact = tuple[Node, float, float]  # a node, and between which ends it lies
_DEEPEST = 4  # signals within signals


def facts(condition: Node, holds: bool, given: Mapping[str, Node], depth: int = _DEEPEST) -> Iterable[Fact]:
    """What lies between which ends while a condition holds, or while it does not."""
    if isinstance(condition, nodes.Not):
        yield from facts(condition.part, not holds, given, depth)
    elif isinstance(condition, nodes.And if holds else nodes.Or):
        for part in condition.parts:
            yield from facts(part, holds, given, depth)
    elif isinstance(condition, nodes.Read) and condition.name in given and depth:
        yield from facts(given[condition.name], holds, given, depth - 1)
    elif isinstance(condition, nodes.Compare):
        op = condition.op if holds else NEGATION[condition.op]
        yield from _compared(op, condition.left, condition.right)
        yield from _compared(MIRROR[op], condition.right, condition.left)


def _compared(op: str, left: Node, right: Node) -> Iterable[Fact]:
    if not isinstance(right, nodes.Constant) or right.type not in (Type.INT, Type.TIME):
        return
    value = int(right.value)
    ends: Mapping[str, tuple[float, float]] = {
        "<": (-math.inf, value - 1),
        "<=": (-math.inf, value),
        ">": (value + 1, math.inf),
        ">=": (value, math.inf),
        "=": (value, value),
    }
    if op in ends:
        yield (left, *ends[op])
