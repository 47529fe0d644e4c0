"""What a program's variables hold while it is read: every statement adds rows, and what is never read is left
out.

Rule of this file: a variable holds a word (a constant, a signal in this scan or the last, or its opposite);
anything longer becomes a row of its own. A branch is read on a copy of what it writes, and both outcomes are
joined afterwards.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from attrs import define, field, frozen

from steadfall.logic.forms import choose, opposite
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Constant, Elapsed, Ends, Node, Not, Previous, Read, Type, Value
from steadfall.roles import Identity, Role
from steadfall.source import Mark

IF, CASE, SUM = "#if", "#case", "#sum"  # the paths of what has no variable
SAID = {
    IF: "the condition of the IF here",
    CASE: "the number that the CASE here looks at",
    SUM: "the sum or product here, so far",
}
MOST_ROWS = 200_000
JOINED_AT_ONCE = 24  # branches in one row


class UnreadableError(Exception):
    """Something that Steadfall does not read, or that means nothing; becomes a Problem."""

    def __init__(self, mark: Mark, slug: str, read: str, expected: str = "", example: str = "") -> None:
        self.mark, self.slug, self.read, self.expected, self.example = mark, slug, read, expected, example
        super().__init__(read)


@frozen
class Slot:
    """A variable: how it is spelled with all its owners, its type, its first value, what a whole number
    holds; whether it is kept while power is off.
    """

    name: str
    type: Type
    initial: Value
    mark: Mark
    holds: Ends | None = None
    retained: bool = False

    def check(self, node: Node, mark: Mark) -> None:
        """Raises UnreadableError for a constant that the variable cannot hold."""
        if self.holds and isinstance(node, Constant) and not self.holds[0] <= node.value <= self.holds[1]:
            low, high = self.holds
            read = f"'{self.name}' cannot hold {node.value}"
            raise UnreadableError(mark, "value", read, f"a whole number from {low} to {high}")


@define
class Learnt:
    """What the first reading of a text finds out for the second."""

    assigned: set[str] = field(factory=set)
    calls: dict[str, int] = field(factory=dict)  # timers: calls in a scan
    conditional: set[str] = field(factory=set)  # timers that are called under a condition
    longest: dict[str, int] = field(factory=dict)  # timers: longest preset, ms
    constant: set[str] = field(factory=set)  # variables that end every scan as they begin
    running: set[str] = field(factory=set)  # timers that run at the end of every scan


@define
class Space:
    """Variables by path (small letters), what they hold now, and the rows so far."""

    learnt: Learnt
    first_reading: bool
    slots: dict[str, Slot] = field(factory=dict)
    held: dict[str, Node] = field(factory=dict)
    rows: list[Assignment] = field(factory=list)
    owners: dict[str, str] = field(factory=dict)  # row -> the path it was made for
    kept: dict[str, Ends] = field(factory=dict)  # row -> what its whole number holds
    clocks: dict[str, Read] = field(factory=dict)  # of timers that are written out
    journal: list[dict[str, Node | None]] = field(factory=list)
    fixed: dict[str, str] = field(factory=dict)  # path -> why it may not be given anything now
    looked_at: set[str] = field(factory=set)  # what was asked for

    def get(self, path: str) -> Node:
        """What a variable holds now; at the top of a scan, what it held at the end of the last one."""
        self.looked_at.add(path)
        if path not in self.held:
            slot = self.slots[path]
            kept = (path in self.learnt.assigned or self.first_reading) and path not in self.learnt.constant
            self.held[path] = (
                Previous(path, slot.type) if kept else Constant(slot.initial, slot.type, mark=slot.mark)
            )
        return self.held[path]

    def put(self, path: str, node: Node, mark: Mark) -> None:
        """The variable holds this from here on."""
        if path in self.fixed:
            raise UnreadableError(mark, "assigned", self.fixed[path])
        self.learnt.assigned.add(path)
        slot = self.slots[path]
        slot.check(node, mark)
        self.write(path, self.narrowed(path, node, slot.holds, mark))

    def write(self, path: str, node: Node | None) -> None:
        """Notes what a variable holds, and in a branch what it held before."""
        if self.journal:
            self.journal[-1].setdefault(path, self.held.get(path))
        if node is None:
            self.held.pop(path, None)
        else:
            self.held[path] = node

    def word(self, path: str, kind: Type, node: Node, mark: Mark) -> Node:
        """The node itself where it is a word, else a row that has it."""
        return node if is_word(node) else self.row(path, kind, node, mark)

    def narrowed(self, path: str, node: Node, ends: Ends | None, mark: Mark) -> Node:
        """A word for this node; a row that names its ends where a word of another whole number is given."""
        if ends is None:
            return node if is_word(node) else self.row(path, self.slots[path].type, node, mark)
        if isinstance(node, Constant) or (is_word(node) and self._holds(node) == ends):
            return node
        return self.row(path, Type.INT, node, mark, ends)

    def _holds(self, node: Node) -> Ends | None:
        name = getattr(node, "name", "")
        slot = self.slots.get(self.owners.get(name, name))
        return self.kept.get(name, slot.holds if slot else None)

    def row(self, path: str, kind: Type, node: Node, mark: Mark, ends: Ends | None = None) -> Read:
        """One more row; `ends` is what a whole number that no variable holds may be."""
        if len(self.rows) >= MOST_ROWS:
            raise UnreadableError(mark, "too-long", f"more than {MOST_ROWS} steps in a scan")
        name = f"{path}~{len(self.rows)}"
        slot = self.slots.get(path)
        first = slot.initial if slot else _NOTHING[kind]
        made = Identity(Role.READ, of=SAID.get(path, path))
        holds = ends or (slot.holds if slot else None)
        if holds:
            self.kept[name] = holds
        self.rows.append(Assignment(name, kind, node, first, mark=mark, holds=holds, identity=made))
        self.owners[name] = path
        return Read(name, kind)

    def branch(self, run: Callable[[], None]) -> dict[str, Node]:
        """What a branch writes, without writing it."""
        self.journal.append({})
        try:
            run()
        finally:
            before = self.journal.pop()
            written = {path: self.held[path] for path in before if path in self.held}
            for path, node in before.items():
                if node is None:
                    self.held.pop(path, None)
                else:
                    self.held[path] = node
        return written

    def join(
        self, outcomes: Sequence[tuple[Node, Mapping[str, Node]]], other: Mapping[str, Node], mark: Mark
    ) -> None:
        """What the first branch whose condition holds has written, else the other one."""
        paths = dict.fromkeys(path for _, written in [*outcomes, (None, other)] for path in written)
        for path in paths:
            kept = self.get(path)
            found = other.get(path, kept)
            for number, (condition, written) in enumerate(reversed(outcomes), 1):
                found = choose(condition, written.get(path, kept), found)
                if number % JOINED_AT_ONCE == 0:
                    found = self.word(path, self.slots[path].type, found, mark)
            self.write(path, self.word(path, self.slots[path].type, found, mark))


_NOTHING: Mapping[Type, Value] = {Type.BOOL: False, Type.TIME: 0, Type.INT: 0, Type.REAL: 0.0}


def is_word(node: Node) -> bool:
    """Whether a node is short enough to be repeated."""
    inner = node.part if isinstance(node, Not) else node
    return isinstance(inner, Constant | Read | Previous | Elapsed)


def negation(node: Node) -> Node:
    """Not this."""
    return opposite(node)
