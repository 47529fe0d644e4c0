"""How far the clocks of a text need to count: no further than what they are compared with.

Rule of this file: a clock that is only compared with constants stops at the largest of them, since beyond it
nothing changes any more. A clock that is used in any other way is left as it is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

import attrs

from steadfall.comparisons import MIRROR
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Compare, Constant, Mux, Node, Or, Previous, Read, Select, Since, Type
from steadfall.logic.types import children

STRICT = (">", "<=", "=", "<>")  # tell the constant itself from what lies beyond it


def tightened(rows: Sequence[Assignment], outputs: Sequence[str]) -> tuple[Assignment, ...]:
    """The rows with every clock stopped where nobody looks any more."""
    uses = _Uses(rows, outputs)
    tight = [_tight(row, uses.furthest(row.name)) if isinstance(row.node, Since) else row for row in rows]
    return tuple(_joined(tight, outputs, uses))


def _joined(rows: Sequence[Assignment], outputs: Sequence[str], uses: _Uses) -> Iterator[Assignment]:
    """A clock that counts as run out until its first event, as one clock that begins at its end.

    It is written as a choice: the clock once the event has been, until then its end, or a time that no
    comparison can tell from its end.
    """
    by_name = {row.name: row for row in rows}
    read = Counter(node.name for row in rows for node in _every(row.node) if isinstance(node, Read))
    kept = {node.name for row in rows for node in _every(row.node) if isinstance(node, Previous)}
    begun = {
        row.name: clock
        for row in rows
        if row.name not in kept  # its first value would be another one
        and (clock := _begins_run_out(row, by_name, uses.furthest(row.name)))
        and read[clock.name] == 1
        and clock.name not in kept
    }
    gone = {clock.name for clock in begun.values()} - set(outputs)
    for row in rows:
        clock = begun.get(row.name)
        if clock is not None and clock.name in gone and isinstance(clock.node, Since):
            yield attrs.evolve(row, node=clock.node, initial=clock.node.limit_ms)
        elif row.name not in gone:
            yield row


def _begins_run_out(
    row: Assignment, by_name: Mapping[str, Assignment], furthest: int | None
) -> Assignment | None:
    """The clock behind such a choice, or None; `furthest` is how far the choice must count."""
    node = row.node
    if not (isinstance(node, Select) and isinstance(node.when, Previous) and isinstance(node.then, Read)):
        return None
    clock, known = by_name.get(node.then.name), by_name[node.when.name]
    if clock is None or not isinstance(clock.node, Since) or clock.initial or known.initial:
        return None
    parts = known.node.parts if isinstance(known.node, Or) else ()
    seen = {type(part): part for part in parts}
    kept, event = seen.get(Previous), seen.get(Read)
    if len(parts) != 2 or not isinstance(kept, Previous) or not isinstance(event, Read):
        return None
    fits = kept.name == known.name and event.name == clock.node.event and not by_name[event.name].initial
    return clock if fits and _is_the_end(node.otherwise, clock.node.limit_ms, furthest) else None


def _is_the_end(node: Node, limit_ms: int, furthest: int | None) -> bool:
    """Whether a constant is the clock's end, or beyond it where nobody can tell the two apart."""
    if not isinstance(node, Constant):
        return False
    return node.value == limit_ms or (furthest is not None and furthest <= limit_ms <= node.value)


def _tight(row: Assignment, furthest: int | None) -> Assignment:
    node = row.node
    if not isinstance(node, Since) or furthest is None or furthest >= node.limit_ms:
        return row
    initial = min(int(row.initial), max(furthest, 0))
    return attrs.evolve(row, node=attrs.evolve(node, limit_ms=max(furthest, 0)), initial=initial)


class _Uses:
    """Where each time goes: handed on as it is, compared with constants, or used in some other way."""

    def __init__(self, rows: Sequence[Assignment], outputs: Sequence[str]) -> None:
        self.passed: dict[str, list[str]] = {}  # clock -> rows that hand its value on as it is
        self.compared: dict[str, int] = {}  # clock -> how far it must count for its comparisons
        self.spoilt = {node.name for row in rows for node in _every(row.node) if isinstance(node, Previous)}
        self.spoilt |= set(outputs)
        self.most: dict[str, int | None] = {}  # times that only constants give -> the largest of them
        for row in rows:
            if row.type is Type.TIME and not isinstance(row.node, Since):
                self._hand_on(row)
            else:
                self._look(row.node)

    def _hand_on(self, row: Assignment) -> None:
        self.most[row.name] = self._largest(row.node)
        for time in _times(row.node):
            if isinstance(time, Read):
                self.passed.setdefault(time.name, []).append(row.name)
            else:
                self._look(time)
        self._conditions(row.node)

    def _look(self, node: Node) -> None:
        """Notes comparisons with constants; a clock that stands anywhere else is spoilt."""
        if isinstance(node, Read):
            if node.type is Type.TIME:
                self.spoilt.add(node.name)
        elif isinstance(node, Compare):
            self._side(node.left, node.op, node.right)
            self._side(node.right, MIRROR[node.op], node.left)
        else:
            for part in children(node):
                self._look(part)

    def _side(self, side: Node, op: str, other: Node) -> None:
        """One side of a comparison, with the operator as it is read from there."""
        bound = self._largest(other)
        for time in _times(side):
            if isinstance(time, Read) and time.type is Type.TIME and bound is not None:
                self.compared[time.name] = max(self.compared.get(time.name, 0), bound + (op in STRICT))
            else:
                self._look(time)
        self._conditions(side)

    def _conditions(self, node: Node) -> None:
        """What a choice of times hangs on."""
        if isinstance(node, Select | Mux):
            self._look(node.when if isinstance(node, Select) else node.index)
            for part in _choices(node):
                self._conditions(part)

    def _largest(self, node: Node) -> int | None:
        """The largest time that a choice of constants can give; None where it is something else."""
        most: int | None = None
        for time in _times(node):
            known = self._known(time)
            if known is None:
                return None
            most = known if most is None else max(most, known)
        return most

    def _known(self, node: Node) -> int | None:
        if isinstance(node, Constant) and node.type is Type.TIME:
            return int(node.value)
        return self.most.get(node.name) if isinstance(node, Read) else None

    def furthest(self, name: str) -> int | None:
        """How far a time must count for all that looks at it; None where it is used otherwise."""
        found, waiting, seen = 0, [name], set()
        while waiting:
            one = waiting.pop()
            if one in self.spoilt:
                return None
            if one not in seen:
                seen.add(one)
                found = max(found, self.compared.get(one, 0))
                waiting.extend(self.passed.get(one, []))
        return found


def _choices(node: Select | Mux) -> tuple[Node, ...]:
    return (node.then, node.otherwise) if isinstance(node, Select) else node.entries


def _times(node: Node) -> Iterator[Node]:
    """What a value is, by choice: all that it can be, none of it a choice."""
    if isinstance(node, Select | Mux):
        for part in _choices(node):
            yield from _times(part)
    else:
        yield node


def _every(node: Node) -> Iterator[Node]:
    yield node
    for part in children(node):
        yield from _every(part)
