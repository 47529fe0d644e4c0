"""How far the clocks of a text need to count: no further than what they are compared with.

Rule of this file: a clock that is only compared with constants stops at the largest of them, since beyond it nothing
changes any more. A clock that is used in any other way is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import attrs

from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Compare, Constant, Mux, Node, Previous, Read, Select, Since, Type
from steadfall.logic.types import children

STRICT = (">", "<=", "=", "<>")  # tell the constant itself from what lies beyond it


def tightened(rows: Sequence[Assignment], outputs: Sequence[str]) -> tuple[Assignment, ...]:
    """The rows with every clock stopped where nobody looks any more."""
    uses = _Uses(rows, outputs)
    return tuple(_tight(row, uses.furthest(row.name)) if isinstance(row.node, Since) else row for row in rows)


def _tight(row: Assignment, furthest: int | None) -> Assignment:
    node = row.node
    if not isinstance(node, Since) or furthest is None or furthest >= node.limit_ms:
        return row
    initial = min(int(row.initial), max(furthest, 0))
    return attrs.evolve(row, node=attrs.evolve(node, limit_ms=max(furthest, 0)), initial=initial)


class _Uses:
    def __init__(self, rows: Sequence[Assignment], outputs: Sequence[str]) -> None:
        self.passed: dict[str, list[str]] = {}  # clock -> rows that hand its value on as it is
        self.compared: dict[str, list[int]] = {}
        self.spoilt = {node.name for row in rows for node in _every(row.node) if isinstance(node, Previous)}
        self.spoilt |= set(outputs)
        for row in rows:
            if row.type is Type.TIME and not isinstance(row.node, Since):
                sources = list(_passed(row.node))
                for name in sources:
                    self.passed.setdefault(name, []).append(row.name)
                self._look(row.node, frozenset(sources) if sources else frozenset())
            else:
                self._look(row.node, frozenset())

    def _look(self, node: Node, fine: frozenset[str]) -> None:
        """Notes comparisons with constants; a clock that stands anywhere else is spoilt."""
        if isinstance(node, Compare) and type_is_time(node):
            for side, other in ((node.left, node.right), (node.right, node.left)):
                bounds = list(_constants(other))
                names = list(_passed(side))
                if names and bounds and None not in bounds:
                    most = max(bound for bound in bounds if bound is not None)
                    for name in names:
                        self.compared.setdefault(name, []).append(most + (node.op in STRICT))
                    self._conditions(side)
                    self._conditions(other)
                    return
        if isinstance(node, Read) and node.type is Type.TIME and node.name not in fine:
            self.spoilt.add(node.name)
        for part in children(node):
            self._look(part, fine)

    def _conditions(self, node: Node) -> None:
        """The conditions within a choice of times."""
        if isinstance(node, Select):
            self._look(node.when, frozenset())
            self._conditions(node.then)
            self._conditions(node.otherwise)
        elif isinstance(node, Mux):
            self._look(node.index, frozenset())

    def furthest(self, name: str) -> int | None:
        """The largest constant that a clock meets; None where it is used otherwise."""
        found, waiting, seen = 0, [name], set()
        while waiting:
            one = waiting.pop()
            if one in self.spoilt:
                return None
            if one not in seen:
                seen.add(one)
                found = max([found, *self.compared.get(one, [])])
                waiting.extend(self.passed.get(one, []))
        return found


def type_is_time(node: Compare) -> bool:
    """Whether two times are compared."""
    kinds: Mapping[type, bool] = {Read: True, Constant: True, Previous: True, Select: True, Mux: True}
    return type(node.left) in kinds and type(node.right) in kinds


def _passed(node: Node) -> Iterator[str]:
    """The signals that a time is, by choice."""
    if isinstance(node, Read) and node.type is Type.TIME:
        yield node.name
    elif isinstance(node, Select):
        yield from _passed(node.then)
        yield from _passed(node.otherwise)


def _constants(node: Node) -> Iterator[int | None]:
    """The times that a choice of constants can give; None where it is something else."""
    if isinstance(node, Constant) and node.type is Type.TIME:
        yield int(node.value)
    elif isinstance(node, Select):
        yield from _constants(node.then)
        yield from _constants(node.otherwise)
    elif isinstance(node, Mux):
        for entry in node.entries:
            yield from _constants(entry)
    else:
        yield None


def _every(node: Node) -> Iterator[Node]:
    yield node
    for part in children(node):
        yield from _every(part)
