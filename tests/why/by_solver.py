"""Which facts a value rests on, asked of a solver: the scan as text, as the checker of proofs reads it.

Nothing of the search for the least facts is used here. Where a network rounds measured values the text leaves
what comes out open, so such networks are not asked about.
"""

from __future__ import annotations

from collections.abc import Sequence

from steadfall.logic import nodes
from steadfall.logic.cone import cone
from steadfall.prove.checker.nodes import SORTS, literal
from steadfall.prove.checker.scan import Asked, Step
from steadfall.prove.engines import recheck
from steadfall.prove.system.kept import STARTED, age, elapsed, last, state
from steadfall.why.facts.facts import CLOCK, INPUT, PREVIOUS, Fact
from steadfall.why.scans.history import History

LONGEST = 10**12  # ms: any time may pass


class Scan:
    """One scan of a history, of which nothing is known but what is asserted."""

    def __init__(self, history: History, signal: str, scan: int) -> None:
        self.moment, self.before = history.moment(scan), history.scanner(scan).clocks
        self.part = cone(history.network, [signal])
        self.of, self.rows = Asked(self.part, LONGEST), {row.name: row for row in self.part.assignments}
        self.step, self.signal = Step(self.of), signal
        self.known = set(self.of.state)
        self.lines = [
            "(set-logic QF_LIRA)",
            *(f"(declare-const |{key}| {one.sort})" for key, one in self.of.state.items()),
            *self.step.lines,
            f"(assert (= {STARTED} {literal(scan > 0)}))",
        ]
        for row in self.part.assignments:
            self.lines += [f"(assert {term})" for term in self._can_be(row.name, row.node)]

    def _can_be(self, name: str, node: nodes.Node) -> list[str]:
        """What a clock may have come to at all."""
        counted, phase = f"|{elapsed(name)}|", f"|{state(name)}|"
        if isinstance(node, nodes.Since):
            before, event = self._previous(name), self._previous(node.event)
            most = max(node.limit_ms, int(self.rows[name].initial))
            return [f"(<= 0 {before} {most})", f"(= |{age(name)}| (ite {event} 0 {before}))"]
        if isinstance(node, nodes.Ton):
            return [f"(<= 0 {counted})", f"(=> (not {phase}) (= {counted} 0))"]
        if isinstance(node, nodes.Tof | nodes.Tp):
            never = [f"(not (= {phase} 1))"] if isinstance(node, nodes.Tp) else []
            return [f"(<= 0 {counted})", f"(<= 0 {phase} 3)", f"(=> (<= {phase} 1) (= {counted} 0))", *never]
        return []

    def _previous(self, name: str) -> str:
        if last(name) not in self.known:
            self.known.add(last(name))
            self.lines.append(f"(declare-const |{last(name)}| {SORTS[self.part.types[name]]})")
        return f"|{last(name)}|"

    def _as_it_was(self, fact: Fact) -> str:
        if fact.kind == INPUT:
            return f"(= {self.step.page.now(fact.name)} {literal(self.moment.values[fact.name])})"
        if fact.kind == PREVIOUS:
            return f"(= {self._previous(fact.name)} {literal(self.moment.last[fact.name])})"
        if fact.kind != CLOCK:
            return f"(= dt {self.moment.dt})"
        clock, node = self.before[fact.name], self.rows[fact.name].node
        two = isinstance(node, nodes.Ton | nodes.Rise | nodes.Fall)
        phase = f"(= |{state(fact.name)}| {literal(bool(clock.state) if two else clock.state)})"
        timed = isinstance(node, nodes.TIMERS)
        return f"(and {phase} (= |{elapsed(fact.name)}| {clock.et}))" if timed else phase

    def without_each(self, facts: Sequence[Fact]) -> tuple[bool, list[bool]]:
        """Whether the facts leave the value no choice; whether they do without the first, the second, ..."""
        terms = [self._as_it_was(fact) for fact in facts]
        other = f"(not (= {self.step.page.now(self.signal)} {literal(self.moment.values[self.signal])}))"
        sets = [terms, *([*terms[:at], *terms[at + 1 :]] for at in range(len(terms)))]
        asked = [f"(push 1) (assert (and {other} {' '.join(one)})) (check-sat) (pop 1)" for one in sets]
        whole, *each = recheck.answers("\n".join([*self.lines, *asked]))
        assert {whole, *each} <= {"sat", "unsat"}
        return whole == "unsat", [one == "unsat" for one in each]
