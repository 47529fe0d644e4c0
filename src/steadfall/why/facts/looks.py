"""What a node of the network asks itself: the facts, signals and timers that it looks at."""

from __future__ import annotations

from collections.abc import Container

from steadfall.logic import nodes
from steadfall.logic.nodes import TIMERS, Node
from steadfall.logic.types import walk
from steadfall.why.facts.facts import CLOCK, DT, INPUT, PREVIOUS, Counted, Fact, Part, Signal


def looks_at(node: Node, name: str, inputs: Container[str]) -> frozenset[Part]:
    """The facts, signals and timers of which a node asks itself; `name`: of its row."""
    found: set[Part] = set()
    for inner in walk(node):
        if isinstance(inner, nodes.Read):
            found.add(Fact(INPUT, inner.name) if inner.name in inputs else Signal(inner.name))
        elif isinstance(inner, nodes.Previous):
            found.add(Fact(PREVIOUS, inner.name))
        elif isinstance(inner, nodes.Elapsed):
            found.add(Counted(inner.timer))
    if isinstance(node, (nodes.Rise, nodes.Fall, *TIMERS)):
        found.add(Fact(CLOCK, name))
    if isinstance(node, nodes.SetDominant | nodes.ResetDominant | nodes.Since):
        found.add(Fact(PREVIOUS, name))
    if isinstance(node, nodes.Since):
        found.add(Fact(PREVIOUS, node.event))
    return frozenset(found | ({DT} if isinstance(node, (nodes.Since, *TIMERS)) else set()))
