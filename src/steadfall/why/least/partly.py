"""A scan of which only some facts are known: what every part of it comes out as, as far as that follows.

Rule of this file: one row per node class, the meaning of `scan.interpreter` on values of which only something
is known (`why.least.spans`). What comes out covers whatever the interpreter could make of the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Set
from typing import Any, cast

from attrs import define, evolve, field

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import type_of
from steadfall.scan.interpreter import ON, OUT, REST, TIMING, root, rounded
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, PREVIOUS, Counted, Fact, Part, Signal
from steadfall.why.least import spans
from steadfall.why.least.spans import Either, Partial, Span

Clocks = tuple[tuple[int, Span], ...]  # the states that a timer may be in, and what it has counted in each
Known = Partial | Clocks
NOTHING = Span(0, 0)
STATES: Mapping[type[Node], Clocks] = {  # what a timer may have remembered
    nodes.Ton: ((REST, NOTHING), (ON, spans.LATER)),
    nodes.Tof: ((REST, NOTHING), (ON, NOTHING), (TIMING, spans.LATER), (OUT, spans.LATER)),
    nodes.Tp: ((REST, NOTHING), (TIMING, spans.LATER), (OUT, spans.LATER)),
}


@define(eq=False)
class Partly:
    """The rows of a scan, from top to bottom, with what is known of each fact and assumed of some signals."""

    facts: Mapping[Fact, Known]
    assumed: Mapping[str, Partial] = field(factory=dict)
    values: dict[str, Partial] = field(factory=dict)
    own: dict[str, Partial] = field(factory=dict)  # what the row of an assumed signal gives
    counted: dict[str, Span] = field(factory=dict)
    nodes: dict[int, Partial] = field(factory=dict)
    name: str = ""

    def run(self, rows: Iterable[Assignment]) -> Partly:
        """Goes through the rows once."""
        for row in rows:
            self.name = row.name
            found = self.value(row.node)
            if row.name in self.assumed:
                self.own[row.name] = found
            self.values[row.name] = self.assumed.get(row.name, found)
        return self

    def amended(
        self, part: Fact | Signal, known: Known, rows: Iterable[tuple[Assignment, Set[Part]]]
    ) -> Partly:
        """The same with something else known of a fact, or assumed of a signal: what looks at nothing that
        changes stays as it is. `rows`: each with what it looks at.
        """
        made = evolve(
            self,
            facts={**self.facts, part: known} if isinstance(part, Fact) else self.facts,
            assumed={**self.assumed, part.name: cast(Partial, known)}
            if isinstance(part, Signal)
            else self.assumed,
            values=dict(self.values),
            own=dict(self.own),
            counted=dict(self.counted),
            nodes=dict(self.nodes),
        )
        changed: set[Part] = {part}
        if isinstance(part, Signal):
            made.own.setdefault(part.name, self.values[part.name])
            made.values[part.name] = cast(Partial, known)
        for row, looks_at in rows:
            if changed.isdisjoint(looks_at):
                continue
            made.run((row,))
            if made.values[row.name] != self.values[row.name]:
                changed.add(Signal(row.name))
            if row.name in self.counted and made.counted[row.name] != self.counted[row.name]:
                changed.add(Counted(row.name))
        return made

    def impossible(self) -> bool:
        """Whether something is assumed of a signal that its row cannot give."""
        return any(spans.apart(self.own[name], value) for name, value in self.assumed.items())

    def open(self) -> Iterable[tuple[str, Partial]]:
        """What is assumed of signals and not yet sure."""
        return ((name, value) for name, value in self.assumed.items() if not spans.known(self.own[name]))

    def value(self, node: Node) -> Any:
        """What is known of a node."""
        found = ROWS[type(node)](node, self)
        self.nodes[id(node)] = found
        return found

    def fact(self, kind: str, name: str = "") -> Any:
        """What is known of a fact."""
        return self.facts[Fact(kind, name)]


def anything(network: Network, fact: Fact) -> Known:
    """What a fact can be at all."""
    row = network.rows.get(fact.name)
    given = network.given.get(fact.name)
    if fact.kind == ELAPSED:
        return spans.LATER
    if fact.kind == CLOCK and row is not None:
        return STATES.get(type(row.node))
    if row is not None and isinstance(row.node, nodes.Since):
        return Span(0, max(row.node.limit_ms, row.initial))
    if given is not None and given.holds:
        return Span(*given.holds)
    kind = row.type if row is not None else given.type if given is not None else Type.BOOL
    return _ANYTHING[kind]


_ANYTHING: Mapping[Type, Partial] = {
    Type.BOOL: None,
    Type.INT: spans.WHOLE,
    Type.TIME: spans.WHOLE,
    Type.REAL: spans.ANY,
}


def _read(node: nodes.Read, run: Partly) -> Any:
    return run.values[node.name] if node.name in run.values else run.fact(INPUT, node.name)


def _select(node: nodes.Select, run: Partly) -> Any:
    when, then, otherwise = (run.value(part) for part in (node.when, node.then, node.otherwise))
    return spans.joined((then, otherwise)) if when is None else then if when else otherwise


def _mux(node: nodes.Mux, run: Partly) -> Any:
    index, last = run.value(node.index), len(node.entries) - 1
    low, high = (int(min(max(end, 0), last)) for end in (index.low, index.high))
    few = index.members
    places = range(low, high + 1) if few is None else {int(min(max(place, 0), last)) for place in few}
    return spans.joined([run.value(node.entries[place]) for place in places])


def _sum(exact: Callable[[Any, Any], Any]) -> Callable[[Any, Partly], Partial]:
    return lambda node, run: spans.summed(
        run.value(node.left), run.value(node.right), exact, whole=type_of(node) is not Type.REAL
    )


def _limit(node: nodes.Limit, run: Partly) -> Partial:
    low, value, high = (run.value(part) for part in (node.low, node.value, node.high))
    return spans.least(spans.greatest(value, low), high)


def _square_root(node: nodes.SquareRoot, run: Partly) -> Partial:
    """A root keeps the order, so the ends are the ends; no number gives 0."""
    part = run.value(node.part)
    if part.empty:
        return Span(0.0, 0.0)
    found = Span(root(part.low), root(part.high))
    return spans.joined((found, Span(0.0, 0.0))) if part.strange else found


def _to_real(node: nodes.ToReal, run: Partly) -> Partial:
    part = run.value(node.part)
    return Span(float(part.low), float(part.high))


def _to_time(node: nodes.ToTime, run: Partly) -> Any:
    """Rounding keeps the order, so the ends are the ends; no number gives 0."""
    part = run.value(node.part)
    if part.empty:
        return NOTHING
    found = Span(rounded(part.low, node.step_ms), rounded(part.high, node.step_ms))
    return spans.joined((found, NOTHING)) if part.strange else found


def _rise(node: nodes.Rise, run: Partly) -> Either:
    return spans.every((run.value(node.part), spans.negated(run.fact(CLOCK, run.name))))


def _fall(node: nodes.Fall, run: Partly) -> Either:
    """What it saw last counts as true before the first scan."""
    return spans.every((spans.negated(run.value(node.part)), spans.negated(run.fact(CLOCK, run.name))))


def _set_dominant(node: nodes.SetDominant, run: Partly) -> Either:
    kept = spans.every((spans.negated(run.value(node.reset)), run.fact(PREVIOUS, run.name)))
    return spans.some((run.value(node.set), kept))


def _reset_dominant(node: nodes.ResetDominant, run: Partly) -> Either:
    on = spans.some((run.value(node.set), run.fact(PREVIOUS, run.name)))
    return spans.every((spans.negated(run.value(node.reset)), on))


Timed = tuple[Either, Span]  # what a timer gives, and its elapsed time
Ran = Callable[[bool, int, Span, Span, Span], Timed]  # its part, its state, what it has counted, preset, dt


def _timer(ran: Ran) -> Callable[[Any, Partly], Either]:
    """Every case that may be: each state that the timer may be in, its part true or false."""

    def row(node: Any, run: Partly) -> Either:
        part, dt = run.value(node.part), run.fact(ELAPSED)
        preset = spans.greatest(run.value(node.preset), NOTHING)
        parts = (True, False) if part is None else (part,)
        found = [ran(on, state, et, preset, dt) for on in parts for state, et in run.fact(CLOCK, run.name)]
        run.counted[run.name] = spans.joined([et for _, et in found])
        given: Either = spans.joined([gives for gives, _ in found])
        return given

    return row


def _on(et: Span, dt: Span) -> Span:
    return Span(et.low + dt.low, et.high + dt.high)


def _ton(on: bool, state: int, et: Span, preset: Span, dt: Span) -> Timed:
    if not on:
        return False, NOTHING
    gone = _on(et, dt) if state == ON else NOTHING
    return spans.compared(">=", gone, preset), spans.least(gone, preset) if state == ON else NOTHING


def _tof(on: bool, state: int, et: Span, preset: Span, dt: Span) -> Timed:
    if on:
        return True, NOTHING
    if state in (REST, OUT):
        return False, et
    gone = _on(et, dt) if state == TIMING else et
    return spans.compared("<", gone, preset), spans.least(gone, preset) if state == TIMING else et


def _tp(on: bool, state: int, et: Span, preset: Span, dt: Span) -> Timed:
    if state == REST and not on:
        return False, et
    gone = _on(et, dt) if state == TIMING else et
    counted = spans.least(gone, preset) if state == TIMING else et
    over = True if state == OUT else spans.compared(">=", gone, preset)
    if over and not on:
        return False, NOTHING
    shown = counted if on or over is False else spans.joined((counted, NOTHING))
    return spans.negated(over), shown


def _since(node: nodes.Since, run: Partly) -> Partial:
    event, last, dt = run.fact(PREVIOUS, node.event), run.fact(PREVIOUS, run.name), run.fact(ELAPSED)
    before = spans.joined((NOTHING, last)) if event is None else NOTHING if event else last
    return spans.least(_on(before, dt), Span(node.limit_ms, node.limit_ms))


ROWS: Mapping[type[Node], Callable[[Any, Partly], Partial]] = {
    nodes.Constant: lambda node, _: spans.exactly(node.value),
    nodes.Read: _read,
    nodes.Previous: lambda node, run: run.fact(PREVIOUS, node.name),
    nodes.Elapsed: lambda node, run: run.counted[node.timer],
    nodes.Not: lambda node, run: spans.negated(run.value(node.part)),
    nodes.And: lambda node, run: spans.every([run.value(part) for part in node.parts]),
    nodes.Or: lambda node, run: spans.some([run.value(part) for part in node.parts]),
    nodes.Compare: lambda node, run: spans.compared(node.op, run.value(node.left), run.value(node.right)),
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _sum(lambda a, b: a + b),
    nodes.Subtract: _sum(lambda a, b: a - b),
    nodes.Multiply: lambda node, run: spans.product(run.value(node.left), run.value(node.right)),
    nodes.Least: lambda node, run: spans.least(run.value(node.left), run.value(node.right)),
    nodes.Greatest: lambda node, run: spans.greatest(run.value(node.left), run.value(node.right)),
    nodes.Limit: _limit,
    nodes.SquareRoot: _square_root,
    nodes.ToReal: _to_real,
    nodes.ToTime: _to_time,
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _timer(_ton),
    nodes.Tof: _timer(_tof),
    nodes.Tp: _timer(_tp),
    nodes.Since: _since,
}
