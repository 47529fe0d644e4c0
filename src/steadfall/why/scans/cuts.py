"""At which numbers a network can tell the values of a fact apart.

Rule of this file: a guess that keeps a search short; a number that is missing here costs an answer, never its
truth. They are the constants of the rows that look at the fact, and at the numbers that are made from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Type
from steadfall.logic.types import walk
from steadfall.why.facts.facts import CLOCK, ELAPSED, PREVIOUS, Counted, Fact, Part, Signal


class Cuts:
    """The cuts of every fact of a network."""

    def __init__(self, network: Network, looks_at: Mapping[str, frozenset[Part]]) -> None:
        self._readers: dict[Part, list[Assignment]] = {}
        for row in network.assignments:
            for part in looks_at[row.name]:
                self._readers.setdefault(part, []).append(row)
        self._known: dict[Part, Sequence[float]] = {}

    def of(self, fact: Fact | Signal) -> Sequence[float]:
        """In order."""
        if fact not in self._known:
            self._known[fact] = sorted(self._found(fact))
        return self._known[fact]

    def _found(self, fact: Fact | Signal) -> set[float]:
        kind = fact.kind if isinstance(fact, Fact) else ""
        besides: Mapping[str, Part] = {CLOCK: Counted(fact.name), PREVIOUS: Signal(fact.name)}
        todo: list[Part] = [fact, *([besides[kind]] if kind in besides else [])]
        seen, found = set[str](), set[float]()
        while todo:
            for row in self._readers.get(todo.pop(), ()):
                if row.name not in seen:
                    seen.add(row.name)
                    found.update(value for value in _constants(row) if math.isfinite(value))
                    if row.type is not Type.BOOL and kind != ELAPSED:
                        todo.append(Signal(row.name))
        return found


def _constants(row: Assignment) -> Iterable[float]:
    for node in walk(row.node):
        if isinstance(node, nodes.Constant) and not isinstance(node.value, bool):
            yield node.value
        elif isinstance(node, nodes.Mux):
            yield from range(len(node.entries))
        elif isinstance(node, nodes.Since):
            yield from (0, node.limit_ms)
        elif isinstance(node, nodes.Limit | nodes.Ton | nodes.Tof | nodes.Tp):
            yield 0
