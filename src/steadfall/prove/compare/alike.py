"""Which signals of two networks are the same, as far as their wording tells: no solver is asked.

Rule of this file: every expression gets a number, equal expressions over equal leaves the same one. A last
value is a common leaf while both networks have that signal, with one first value, and it still has one number
in both; what loses its number takes with it what was built on it, until nothing changes. What is left is
equal in every scan by induction: it begins alike, and each scan does the same with the same.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Set
from itertools import chain
from typing import Any

from attrs import define, field

from steadfall.comparisons import NEGATION
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import (
    And,
    Compare,
    Constant,
    Elapsed,
    Node,
    Not,
    Or,
    Previous,
    Read,
    ResetDominant,
    Select,
    SetDominant,
    Since,
    Type,
)
from steadfall.logic.types import besides, children, type_of


@define
class Alike:
    """What the second network has in common with the first."""

    same: frozenset[str]  # signals of one name that are equal in every scan, the first included
    twins: Mapping[str, str]  # signal of the second -> an equal one of the first, by value in a scan
    once: Mapping[str, str]  # signal of the first -> an equal one above it


def alike(first: Network, second: Network, proved: Set[str] = frozenset()) -> Alike:
    """The signals that both have, as far as it can be seen from how they are written; `proved`: those of
    which it is known.
    """
    begins = {row.name: (row.type, row.initial) for row in first.assignments}
    same = frozenset(
        row.name for row in second.assignments if begins.get(row.name) == (row.type, row.initial)
    )
    given = frozenset((row.name, row.type) for row in first.inputs)
    shared = frozenset(row.name for row in second.inputs if (row.name, row.type) in given)
    while True:
        numbers, anys = dict[Hashable, int](), dict[int, tuple[int, ...]]()
        leaves = same | shared
        one = _Numbers(0, leaves, numbers, anys).of(first)
        two = _Numbers(1, leaves, numbers, anys, {name: one[name] for name in proved}).of(second)
        kept = frozenset(name for name in same if one[name] == two[name])
        if kept == same:
            named = {number: name for name, number in reversed(one.items())}
            twins = {name: named[number] for name, number in two.items() if number in named}
            once = {name: named[number] for name, number in one.items() if named[number] != name}
            return Alike(
                same, twins | {name: name for name, number in two.items() if one.get(name) == number}, once
            )
        same = kept


def _written_out(name: str, latch: SetDominant | ResetDominant) -> Node:
    """A latch as what it is made of; some texts write it so."""
    last, kept = Previous(name, Type.BOOL), Not(latch.reset)
    if isinstance(latch, SetDominant):
        return Or((latch.set, And((kept, last))))
    return And((kept, Or((latch.set, last))))


def _is_true(node: Node) -> bool:
    return isinstance(node, Constant) and node.value is True


@define
class _Numbers:
    which: int  # network
    leaves: frozenset[str]  # signals whose last value is the same in both
    numbers: dict[Hashable, int]
    anys: dict[int, tuple[int, ...]]  # of what an `any` is, so that brackets make no difference
    known: Mapping[str, int] = field(factory=dict)  # what is equal to the other network's in every scan
    rows: dict[str, int] = field(factory=dict)
    every_scan: frozenset[str] = frozenset()  # what is true in every scan

    def of(self, network: Network) -> dict[str, int]:
        """The number of every signal."""
        values = {row.name: self._number(("input", row.name, row.type)) for row in network.inputs}
        self.rows = dict(values)
        self.every_scan = frozenset(row.name for row in network.assignments if _is_true(row.node))
        for row in network.assignments:
            self.rows[row.name] = self._row(row)
        return {name: number for name, number in self.rows.items() if name not in values}

    def _row(self, row: Assignment) -> int:
        if row.name in self.known:
            return self.known[row.name]
        if isinstance(row.node, SetDominant | ResetDominant):
            return self.node(_written_out(row.name, row.node))
        number = self.node(row.node)
        # A block begins with the signal's first value; it keeps its state alike from there on.
        return self._number(("block", number, row.initial, row.type)) if row.is_block else number

    def _number(self, key: Hashable) -> int:
        return self.numbers.setdefault(key, len(self.numbers) + 2)

    def _last(self, name: str) -> Hashable:
        return name if name in self.leaves else (self.which, name)

    def node(self, node: Node) -> int:
        """The number of an expression."""
        row = _ROWS.get(type(node))
        if row is not None:
            return row(self, node)
        return self._number((type(node), besides(node), *(self.node(part) for part in children(node))))

    def read(self, node: Read) -> int:
        """A signal of this scan."""
        return self.rows[node.name]

    def constant(self, node: Constant) -> int:
        """A value."""
        if node.type is Type.BOOL:
            return TRUE if node.value else -TRUE
        return self._number(("constant", node.type, repr(node.value)))

    def previous(self, node: Previous) -> int:
        """A signal of the last scan."""
        return self._number(("last", self._last(node.name), node.type))

    def elapsed(self, node: Elapsed) -> int:
        """The time of a timer."""
        return self._number(("elapsed", self.rows[node.timer]))

    def since(self, node: Since) -> int:
        """The time since an event; since one that is in every scan it is the time of the scan."""
        event = True if node.event in self.every_scan else self._last(node.event)
        return self._number(("since", event, node.limit_ms))

    def opposite(self, node: Not) -> int:
        """Not this."""
        return -self.node(node.part)

    def any_of(self, parts: Iterable[int]) -> int:
        """At least one of these."""
        laid_out = chain.from_iterable(self.anys.get(part, (part,)) for part in parts)
        kept = sorted({part for part in laid_out if part != -TRUE})
        if TRUE in kept or any(-part in kept for part in kept):
            return TRUE
        if len(kept) < 2:
            return kept[0] if kept else -TRUE
        number = self._number(("any", *kept))
        self.anys[number] = tuple(kept)
        return number

    def either(self, node: Or) -> int:
        """One of the parts, in whatever order."""
        return self.any_of(self.node(part) for part in node.parts)

    def both(self, node: And) -> int:
        """All parts: not one of them fails."""
        return -self.any_of(-self.node(part) for part in node.parts)

    def compare(self, node: Compare) -> int:
        """A comparison; `<` of whole numbers is the opposite of `>=`. Of REAL it is not: one may be no
        number.
        """
        left, right = self.node(node.left), self.node(node.right)
        if node.op == "<>" or (node.op in ("<", ">") and type_of(node.left) in (Type.INT, Type.TIME)):
            return -self._number((Compare, NEGATION[node.op], left, right))
        return self._number((Compare, node.op, left, right))

    def select(self, node: Select) -> int:
        """A choice; of truths, where one of them is known, what must hold."""
        when, then, other = self.node(node.when), self.node(node.then), self.node(node.otherwise)
        if when < 0:
            when, then, other = -when, other, then
        if then == other or when == TRUE:
            return then
        if then == TRUE or other == -TRUE:
            return self.any_of((when, other)) if then == TRUE else -self.any_of((-when, -then))
        if then == -TRUE or other == TRUE:
            return -self.any_of((when, -other)) if then == -TRUE else self.any_of((-when, then))
        return self._number((Select, when, then, other))


TRUE = 1
_ROWS: Mapping[type[Node], Callable[[_Numbers, Any], int]] = {
    Read: _Numbers.read,
    Constant: _Numbers.constant,
    Previous: _Numbers.previous,
    Elapsed: _Numbers.elapsed,
    Since: _Numbers.since,
    Not: _Numbers.opposite,
    Or: _Numbers.either,
    And: _Numbers.both,
    Compare: _Numbers.compare,
    Select: _Numbers.select,
}
