"""Whole numbers that may pass what their variable holds: a controller then does what its maker chose, mostly
begin again at the other end; here a whole number is exact.

Rule of this file: what is not named never passes its ends, in any scan under any input; what is named may, or
is not seen to be bounded. A sum is worked out in the widest type among what it adds up (IEC 61131-3, from
memory). A step on the way to a value counts where it is used, under the conditions that hold there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from attrs import field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Ends, Node, Type
from steadfall.logic.types import children, type_of
from steadfall.prove.system.bounds.ranges import NOTHING, Known, Range, known_of
from steadfall.source import Mark
from steadfall.why.facts.facts import Fact
from steadfall.why.facts.looks import looks_at
from steadfall.why.least.partly import Partly, anything
from steadfall.why.least.spans import Span

STEP = "~"  # in the names of what is a step on the way to a signal
MOST_WHOLE = 2**31 - 1  # what a DINT holds
MOST_MS = 2**31 - 1  # what a TIME of 32 bit holds with a sign: 24 days, 20 hours; a plan's times end at 240 h
_DEEPEST = 4  # steps within steps; past that, no condition is taken to hold


@frozen
class Overflow:
    """A signal that is given more than it holds, or that takes a sum which is more than its type holds."""

    signal: str
    reached: Range
    holds: Ends
    mark: Mark
    mixed: bool = False  # whole numbers of two types meet, and `holds` is what is in both

    @property
    def sentence(self) -> str:
        """In words."""
        where = f" (line {self.mark.line})" if self.mark.line else ""
        if self.mixed:
            both = f"of which both hold only {self.holds[0]} to {self.holds[1]}"
            return f"'{self.signal}' comes of whole numbers with and without a sign, {both}{where}"
        return f"'{self.signal}' may pass what its type holds, {self.holds[0]} to {self.holds[1]}{where}"


@frozen
class LongTime:
    """A time in a program that a TIME of 32 bit does not hold."""

    ms: int
    mark: Mark

    @property
    def sentence(self) -> str:
        """In words."""
        where = f" (line {self.mark.line})" if self.mark.line else ""
        return f"a time of {self.ms} ms{where} is more than a TIME of 32 bit holds, {MOST_MS} ms"


def long_times(network: Network) -> list[LongTime]:
    """Every constant time beyond 32 bit of milliseconds, with a sign; each line once."""
    found: dict[tuple[int, int], LongTime] = {}
    for row in network.assignments:
        for part in row.parts:
            if isinstance(part, nodes.Constant) and part.type is Type.TIME and abs(part.value) > MOST_MS:
                mark = part.mark if part.mark.line else row.mark
                found.setdefault((mark.line, int(part.value)), LongTime(int(part.value), mark))
    return list(found.values())


def overflows(network: Network) -> list[Overflow]:
    """Every signal that may pass what it holds, the first place of each."""
    search = _Search(network)
    found = {one.signal: one for one in _rounded(network)}
    for row in network.assignments:
        if STEP not in row.name:
            search.waiting.append(row)
            for one in search.all():
                found.setdefault(one.signal, one)
    return list(found.values())


@frozen(eq=False, init=False)
class _Search:
    rows: Mapping[str, Assignment]
    holds: Mapping[str, Ends | None]
    known: Known
    done: set[str] = field(factory=set)  # steps that are looked at without conditions
    waiting: list[Assignment] = field(factory=list)  # what is to be looked at without conditions

    def __init__(self, network: Network) -> None:
        holds = {given.name: given.holds for given in network.inputs}
        holds |= {row.name: row.holds for row in network.assignments}
        self.__attrs_init__({row.name: row for row in network.assignments}, holds, known_of(network))

    def all(self) -> Iterable[Overflow]:
        """Everything that is waiting, and the steps to it."""
        while self.waiting:
            yield from self.of(self.waiting.pop(), self.known, _DEEPEST)

    def of(self, row: Assignment, known: Known, depth: int) -> Iterable[Overflow]:
        """Where a signal, or a step to it, passes what it holds."""
        if row.holds and row.type is Type.INT:
            yield from self._passed(row, known.of(row.node), row.holds)
        yield from self._within(row.node, row, known, depth)

    def _within(self, node: Node, row: Assignment, known: Known, depth: int) -> Iterable[Overflow]:
        if isinstance(node, nodes.Select):
            yield from self._within(node.when, row, known, depth)
            yield from self._within(node.then, row, known.under(node.when, True), depth)
            yield from self._within(node.otherwise, row, known.under(node.when, False), depth)
            return
        if isinstance(node, nodes.Read) and STEP in node.name:
            yield from self._step(self.rows[node.name], known, depth)
        if isinstance(node, nodes.Add | nodes.Subtract) and type_of(node) is Type.INT:
            widest = self._widest(node)
            yield from self._passed(row, known.of(node), widest) if widest else ()
            yield from self._mixed(node, row, known)
        if isinstance(node, nodes.Compare) and type_of(node.left) is Type.INT:
            yield from self._compared(node, row)
            yield from self._mixed(node, row, known)
        for part in children(node):
            yield from self._within(part, row, known, depth)

    def _compared(self, node: nodes.Compare, row: Assignment) -> Iterable[Overflow]:
        """A constant that is no number of the type that it is compared with."""
        for one, other in ((node.left, node.right), (node.right, node.left)):
            widest = self._widest(other)
            if widest and isinstance(one, nodes.Constant):
                yield from self._passed(row, (one.value, one.value), widest)

    def _mixed(
        self, node: nodes.Compare | nodes.Add | nodes.Subtract, row: Assignment, known: Known
    ) -> Iterable[Overflow]:
        """Two numbers of types of which neither holds the other, such as INT and UINT, where one of them may
        be what is not in both: a controller then takes one for the other, or works in a longer type.
        """
        sides = (node.left, node.right)
        one, other = map(self._widest, sides)
        both = one and other and (max(one[0], other[0]), min(one[1], other[1]))
        if both and both not in (one, other):
            for side in sides:
                yield from self._passed(row, known.of(side), both, mixed=True)

    def _step(self, row: Assignment, known: Known, depth: int) -> Iterable[Overflow]:
        if known.narrowed and depth:
            yield from self.of(row, known, depth - 1)
        elif row.name not in self.done:
            self.done.add(row.name)
            self.waiting.append(row)

    def _widest(self, node: Node) -> Ends | None:
        found = list(self._types(node))
        return (min(low for low, _ in found), max(high for _, high in found)) if found else None

    def _passed(self, row: Assignment, ends: Range, kept: Ends, *, mixed: bool = False) -> Iterable[Overflow]:
        if ends != NOTHING and not (kept[0] <= ends[0] and ends[1] <= kept[1]):
            of = row.name.partition(STEP)[0]
            yield Overflow(of if of in self.rows else row.identity.of or of, ends, kept, row.mark, mixed)

    def _types(self, node: Node) -> Iterable[Ends]:
        """What the summands hold; of a step that has no type of its own, what its summands hold."""
        waiting, seen = list(_summands(node)), set[str]()
        while waiting:
            name = waiting.pop()
            ends = self.holds.get(name)
            if ends:
                yield ends
            elif STEP in name and name in self.rows and name not in seen:
                seen.add(name)
                waiting += _summands(self.rows[name].node)


def _rounded(network: Network) -> Iterable[Overflow]:
    """A REAL that is rounded to a whole number, where it is not seen to be one of 32 bit."""
    if not any(isinstance(node, nodes.ToTime) for row in network.assignments for node in row.parts):
        return
    names = set(network.given)
    facts = {fact for row in network.assignments for fact in looks_at(row.node, row.name, names)}
    known = {fact: anything(network, fact) for fact in facts if isinstance(fact, Fact)}
    run = Partly(known).run(network.assignments)
    for row in network.assignments:
        for node in row.parts:
            if isinstance(node, nodes.ToTime):
                found = run.nodes.get(id(node.part))  # none in a branch that is never taken
                most = MOST_WHOLE * node.step_ms
                if isinstance(found, Span) and not found.empty and max(-found.low, found.high) > most:
                    ends = found.low / node.step_ms, found.high / node.step_ms
                    kept = -MOST_WHOLE - 1, MOST_WHOLE
                    yield Overflow(row.name.partition(STEP)[0], ends, kept, row.mark)


def _summands(node: Node) -> Iterable[str]:
    """The signals whose types decide what a sum is worked out in."""
    if isinstance(node, nodes.Read | nodes.Previous):
        yield node.name
    for part in children(node)[1:] if isinstance(node, nodes.Select | nodes.Mux) else children(node):
        yield from _summands(part)
