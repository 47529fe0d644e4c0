"""What inputs alone decide in a logic: thresholds, and what hangs on them without memory or time.

Rule of this file: such a value is worked out once for the inputs, not in every way that a scan may go. What
a filter makes of a reading has a course of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from steadfall.bench.judge.explain.written import plain_of
from steadfall.logic.filters import filters_of
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import BLOCKS, Elapsed, Node, Previous, Read, Type, Value
from steadfall.logic.types import children, walk


class Decided:
    """What inputs alone decide in a logic, as the rest of it finds that; `rest`: all other assignments, the
    `filters` among them.
    """

    def __init__(self, network: Network) -> None:
        self._decided = {row.name for row in network.inputs}
        own = [row for row in network.assignments if self._is_decided(row)]
        self.rest = tuple(row for row in network.assignments if row.name not in self._decided)
        remembered = {*network.remembered} & self._decided
        shown = {row.name for row in own if row.type in (Type.BOOL, Type.INT)}
        self._names = tuple(sorted(remembered | shown))
        self.filters = filters_of(network)
        smoothed = {one.name for one in self.filters}
        plain = [row for row in self.rest if row.name not in smoothed]
        self._nodes = tuple({part: None for row in plain for part in self._parts(row.node)})
        asked = [part for one in self.filters for part in (one.reading, one.good)]
        self._readings = plain_of(own, (), asked)[0]
        self._some, self._every = plain_of(own, self._names, self._nodes)
        self._inputs: dict[str, Value] = {row.name: row.initial for row in network.inputs}

    def of(self, inputs: Mapping[str, Value]) -> tuple[Value, ...]:
        """Its values with these inputs; where they are the same, the rest of the logic does the same."""
        self._inputs.update(inputs)
        return self._some(self._inputs)

    def readings(self, inputs: Mapping[str, Value]) -> tuple[tuple[float, bool], ...]:
        """What each filter is handed, and whether a good sensor shows it."""
        self._inputs.update(inputs)
        found = self._readings(self._inputs)
        return tuple(zip(found[::2], found[1::2], strict=True))

    def values(self, inputs: Mapping[str, Value]) -> dict[str, Value]:
        """The inputs, and every signal that they decide."""
        self._inputs.update(inputs)
        return {**inputs, **self._every(self._inputs)}

    def _is_decided(self, row: Assignment) -> bool:
        """Whether inputs alone decide it, as they are in this scan; what hangs on it is asked later."""
        if not _only(row.node, self._decided):
            return False
        self._decided.add(row.name)
        return True

    def _parts(self, node: Node) -> Iterator[Node]:
        """The greatest parts of a node that inputs alone decide, but what never changes."""
        if _only(node, self._decided):
            if any(isinstance(part, Read) for part in walk(node)):
                yield node
            return
        for part in children(node):
            yield from self._parts(part)


def _only(node: Node, decided: Set[str]) -> bool:
    return not any(
        isinstance(part, (*BLOCKS, Previous, Elapsed))
        or (isinstance(part, Read) and part.name not in decided)
        for part in walk(node)
    )
