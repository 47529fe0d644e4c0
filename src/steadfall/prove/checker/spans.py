"""Between which ends a measured value stays, as far as the network alone says."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import reduce
from typing import Any

from attrs import field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import children, type_of
from steadfall.scan.interpreter import root

Span = tuple[float, float]
ANY: Span = (-math.inf, math.inf)


@frozen(eq=False)
class Spans:
    """The ends of each REAL of a network."""

    rows: Mapping[str, Assignment]
    known: dict[Node, Span] = field(factory=dict)

    def of(self, node: Node) -> Span:
        """The least and the greatest that a REAL can be."""
        if node not in self.known:
            rule = _RULES.get(type(node))
            self.known[node] = rule(self, node) if rule else ANY
        return self.known[node]


def _read(spans: Spans, node: nodes.Read) -> Span:
    row = spans.rows.get(node.name)
    return ANY if row is None or row.type is not Type.REAL else spans.of(row.node)


def _either(spans: Spans, node: Any) -> Span:
    """One of some values."""
    ends = [spans.of(part) for part in children(node) if type_of(part) is Type.REAL]
    return min(low for low, _ in ends), max(high for _, high in ends)


def _worked_out(count: Callable[[float, float], float]) -> Callable[[Spans, Any], Span]:
    """What rises or falls with each of two values has its ends at theirs; so have its rounded values."""

    def ends(spans: Spans, node: Any) -> Span:
        corners = [count(a, b) for a in spans.of(node.left) for b in spans.of(node.right)]
        return ANY if any(map(math.isnan, corners)) else (min(corners), max(corners))

    return ends


def _each(pick: Callable[[float, float], float], *names: str) -> Callable[[Spans, Any], Span]:
    """The lesser, or the greater, of some values."""

    def ends(spans: Spans, node: Any) -> Span:
        each = [spans.of(getattr(node, name)) for name in names]
        return reduce(pick, (low for low, _ in each)), reduce(pick, (high for _, high in each))

    return ends


def _limit(spans: Spans, node: nodes.Limit) -> Span:
    low, value, high = spans.of(node.low), spans.of(node.value), spans.of(node.high)
    return min(max(low[0], value[0]), high[0]), min(max(low[1], value[1]), high[1])


def _roots(low: float, high: float) -> Span:
    return root(low), root(high)


_RULES: Mapping[type[Node], Callable[[Spans, Any], Span]] = {
    nodes.Constant: lambda _, node: (
        (float(node.value), float(node.value)) if math.isfinite(node.value) else ANY
    ),
    nodes.Read: _read,
    nodes.Select: _either,
    nodes.Mux: _either,
    nodes.Add: _worked_out(lambda a, b: a + b),
    nodes.Subtract: _worked_out(lambda a, b: a - b),
    nodes.Multiply: _worked_out(lambda a, b: a * b),
    nodes.Least: _each(min, "left", "right"),
    nodes.Greatest: _each(max, "left", "right"),
    nodes.Limit: _limit,
    nodes.SquareRoot: lambda spans, node: _roots(*spans.of(node.part)),
    nodes.ToReal: lambda _, node: (0.0, math.inf) if isinstance(node.part, nodes.Elapsed) else ANY,
}
