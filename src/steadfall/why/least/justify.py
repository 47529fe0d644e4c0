"""The least set of facts that made the value of a signal in one scan, and how it follows from them.

What is promised, and tested: (1) with these facts as they are, the signal has this value whatever every other
input, remembered value, timer and elapsed time is; (2) no fact can be left out. What the table of supports
shows to be needless goes first, node by node; then what the whole scan, gone through with other values, does
not need (`why.least.spare`). A search that takes too long keeps its fact.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set

from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.nodes import BLOCKS, Node
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, PREVIOUS, Counted, Fact, Part, Signal, Ways, key
from steadfall.why.least.spare import Spare
from steadfall.why.least.support import SUPPORT
from steadfall.why.least.support_blocks import COUNTED
from steadfall.why.least.view import View
from steadfall.why.scans.history import History


@frozen(eq=False)
class Justified:
    """A signal or expression in a scan: the facts, and for every part on the way what it was taken to rest
    on.
    """

    root: Part
    scan: int
    facts: tuple[Fact, ...]
    rests_on: Mapping[object, tuple[Part, ...]]
    follows: Set[object]  # parts whose value follows from the facts

    def parts(self, part: Part) -> tuple[Part, ...]:
        """What a part rests on; nothing for a fact."""
        return self.rests_on.get(key(part), ())


def justify(history: History, of: str | Node, scan: int) -> Justified:
    """The facts behind the value of a signal, by name, or of an expression in a scan.

    Of facts that would do alike, those that have held longest.
    """
    root: Part = of if not isinstance(of, str) else Fact(INPUT, of) if of in history.inputs else Signal(of)
    found = _Cone(history, root, scan)
    facts = found.least()
    return Justified(root, scan, facts, *found.chosen(set(facts)))


class _Cone:
    """Everything that a signal may rest on in a scan, inmost parts first."""

    def __init__(self, history: History, root: Part, scan: int) -> None:
        self.history, self.root, self.scan = history, root, scan
        self.moment = history.moment(scan)
        self.any_row = next(iter(history.rows_by_name.values()))
        self.places = {name: place for place, name in enumerate(history.types)}
        self.ways: dict[object, Ways] = {}
        self.order: list[object] = []
        self.parts: dict[object, Part] = {}
        self.spare: Spare | None = None
        self.facts: dict[Fact, None] = {}
        self.compared: dict[
            Fact, int
        ] = {}  # since when the comparisons with a number have come out as they do
        self._collect()

    def _collect(self) -> None:
        stack: list[tuple[Part, bool]] = [(self.root, False)]
        while stack:
            part, done = stack.pop()
            name = key(part)
            if done:
                self.order.append(name)
            elif isinstance(part, Fact):
                self.facts.setdefault(part)
            elif name not in self.ways:
                self.ways[name] = self._ways(part)
                self.parts[name] = part
                self._note(part)
                stack.append((part, True))
                stack.extend((inner, False) for way in self.ways[name] for inner in way)

    def _ways(self, part: Node | Signal | Counted) -> Ways:
        if isinstance(part, Counted):
            row = self.history.rows_by_name[part.timer]
            return COUNTED[type(row.node)](row.node, View(self.history, self.moment, row))  # type: ignore[index]
        if not isinstance(part, Signal):
            return SUPPORT[type(part)](part, View(self.history, self.moment, self.any_row))
        row = self.history.rows_by_name[part.name]
        if not isinstance(row.node, BLOCKS):
            return ((row.node,),)
        return SUPPORT[type(row.node)](row.node, View(self.history, self.moment, row))

    def _note(self, part: Part) -> None:
        if not isinstance(part, nodes.Compare) or not plain(part):
            return
        since = self.history.compared_since(part, self.scan)
        for side in (part.left, part.right):
            for fact in self.facts_of(side):
                self.compared[fact] = min(since, self.compared.get(fact, since))

    def facts_of(self, side: Node) -> Iterable[Fact]:
        """The fact that an operand is, if it is one and a number that changes all the time."""
        if isinstance(side, nodes.Read) and side.name in self.history.inputs:
            yield Fact(INPUT, side.name)
        if isinstance(side, nodes.Previous):
            yield Fact(PREVIOUS, side.name)

    def determined(self, facts: set[Fact]) -> set[object]:
        """Every part whose value follows from these facts."""
        found: set[object] = set(facts)
        for name in self.order:
            if any(all(key(part) in found for part in way) for way in self.ways[name]):
                found.add(name)
        return found

    def least(self) -> tuple[Fact, ...]:
        """A set of facts from which none can be left out: the latest are tried first, by the table, and then
        by going through the scan with other values.
        """
        kept = set(self.facts)
        for fact in sorted(self.facts, key=self._late, reverse=True):
            if key(self.root) in self.determined(kept - {fact}):
                kept.discard(fact)
        if kept and not isinstance(self.root, Fact):
            self._spare(kept)
        return tuple(fact for fact in self.facts if fact in kept)

    def _spare(self, kept: set[Fact]) -> None:
        """Takes out what the scan, gone through with other values, does not need."""
        self.spare = spare = Spare(self.history, self.root, self.scan, kept)
        for fact in sorted(kept, key=self._late, reverse=True):
            if spare.spare(fact):
                kept.discard(fact)
                spare.let_go(fact)

    def _late(self, fact: Fact) -> tuple[bool, int, str, int]:
        """How late a fact is; among equals its place in the network counts, whatever it is called."""
        place = self.places.get(fact.name, -1)
        return fact.kind in (CLOCK, ELAPSED), self.age(fact), fact.kind, place

    def age(self, fact: Fact) -> int:
        """The scan since when a fact has been as it is; -1 for what was so before the first."""
        if fact in self.compared:
            return self.compared[fact]
        return age(self.history, fact, self.scan)

    def chosen(self, facts: set[Fact]) -> tuple[dict[object, tuple[Part, ...]], set[object]]:
        """What every part that the facts serve rests on, and which parts follow from them."""
        follows = self.determined(facts)
        if self.spare is not None:
            follows |= {name for name in self.order if self.spare.follows(self.parts[name])}
        serves: set[object] = set(facts)
        for name in self.order:
            if any(key(part) in serves for way in self.ways[name] for part in way):
                serves.add(name)
        wanted = {name: ways for name, ways in self.ways.items() if name in serves}
        return {name: _best(ways, follows, serves) for name, ways in wanted.items()}, follows


def _best(ways: Ways, follows: Set[object], serves: Set[object]) -> tuple[Part, ...]:
    """The first way that follows from the facts; where none does by itself, what they serve of the first."""
    for way in ways:
        if all(key(part) in follows for part in way):
            return way
    served = (tuple(part for part in way if key(part) in serves) for way in ways)
    return next((way for way in served if way), ())


def age(history: History, fact: Fact, scan: int) -> int:
    """The scan since when, up to a scan, a fact has been as it is; -1 for what was so before the first."""
    if fact.kind == INPUT:
        return history.since(fact.name, scan)
    if fact.kind == ELAPSED:
        return scan
    if not scan:
        return -1
    if fact.kind == PREVIOUS:
        row = history.rows_by_name.get(fact.name)
        if row is not None and isinstance(row.node, nodes.Since):
            event = history.last_true(row.node.event, scan - 1)
            return -1 if event is None else event
        return history.since(fact.name, scan - 1)
    timed = isinstance(history.rows_by_name[fact.name].node, nodes.TIMERS)
    return history.clock_since(fact.name, scan - 1) if timed else scan - 1


def plain(node: nodes.Compare) -> bool:
    """A comparison of signals and constants, without arithmetic."""
    sides = (node.left, node.right)
    return all(isinstance(side, nodes.Read | nodes.Previous | nodes.Constant) for side in sides)
