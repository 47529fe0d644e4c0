"""How far the clocks of a text need to count: no further than what they are compared with.

Rule of this file: a clock that is only compared with constants stops at the largest of them, since beyond it
nothing changes any more. A clock that is used in any other way is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import attrs

from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Compare, Constant, Mux, Node, Or, Previous, Read, Select, Since, Type
from steadfall.logic.types import children

STRICT = (">", "<=", "=", "<>")  # tell the constant itself from what lies beyond it


def tightened(rows: Sequence[Assignment], outputs: Sequence[str]) -> tuple[Assignment, ...]:
    """The rows with every clock stopped where nobody looks any more."""
    uses = _Uses(rows, outputs)
    tight = [_tight(row, uses.furthest(row.name)) if isinstance(row.node, Since) else row for row in rows]
    return tuple(_joined(tight, outputs))


def _joined(rows: Sequence[Assignment], outputs: Sequence[str]) -> Iterator[Assignment]:
    """A clock that counts as run out until its first event, as one clock that begins at its end.

    It is written as a choice: the clock once the event has been, until then a time beyond all that it is
    compared with.
    """
    by_name = {row.name: row for row in rows}
    readers: dict[str, int] = {}
    for row in rows:
        for node in _every(row.node):
            if isinstance(node, Read):
                readers[node.name] = readers.get(node.name, 0) + 1
    begun = {
        row.name: clock
        for row in rows
        if (clock := _begins_run_out(row, by_name)) and readers[clock.name] == 1
    }
    gone = {clock.name for clock in begun.values()} - set(outputs)
    for row in rows:
        clock = begun.get(row.name)
        if clock is not None and clock.name in gone and isinstance(clock.node, Since):
            yield attrs.evolve(row, node=clock.node, initial=clock.node.limit_ms)
        elif row.name not in gone:
            yield row


def _begins_run_out(row: Assignment, by_name: Mapping[str, Assignment]) -> Assignment | None:
    """The clock behind such a choice, or None."""
    node = row.node
    if not (isinstance(node, Select) and isinstance(node.when, Previous) and isinstance(node.then, Read)):
        return None
    clock, known = by_name.get(node.then.name), by_name[node.when.name]
    if clock is None or not isinstance(clock.node, Since) or clock.initial or known.initial:
        return None
    seen = {type(part): part for part in known.node.parts} if isinstance(known.node, Or) else {}
    kept, event = seen.get(Previous), seen.get(Read)
    if len(seen) != 2 or not isinstance(kept, Previous) or not isinstance(event, Read):
        return None
    fits = kept.name == known.name and event.name == clock.node.event and not by_name[event.name].initial
    beyond = isinstance(node.otherwise, Constant) and node.otherwise.value >= clock.node.limit_ms
    return clock if fits and beyond else None


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
        self.times = {row.name: row.node for row in rows if row.type is Type.TIME}
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
                bounds = list(_constants(other, self.times))
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


def _constants(node: Node, times: Mapping[str, Node]) -> Iterator[int | None]:
    """The times that a choice of constants can give, by its signal too; None where it is something else."""
    if isinstance(node, Constant) and node.type is Type.TIME:
        yield int(node.value)
    elif isinstance(node, Read) and node.name in times:
        yield from _constants(times[node.name], times)
    elif isinstance(node, Select):
        yield from _constants(node.then, times)
        yield from _constants(node.otherwise, times)
    elif isinstance(node, Mux):
        for entry in node.entries:
            yield from _constants(entry, times)
    else:
        yield None


def _every(node: Node) -> Iterator[Node]:
    yield node
    for part in children(node):
        yield from _every(part)
