"""A scan run again by the interpreter with other values for some facts: those at which a network turns.

Rule of this file: nothing of the search for the least facts is used here but where numbers may turn.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.nodes import Type, Value
from steadfall.scan.interpreter import Clock, Scanner
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, PREVIOUS, Fact, Signal
from steadfall.why.least.reach import reach
from steadfall.why.scans.history import History

TRIES = 300
COUNTS: Mapping[type[nodes.Node], tuple[int, ...]] = {nodes.Ton: (1,), nodes.Tof: (2, 3), nodes.Tp: (2, 3)}


class Rerun:
    """One scan of a history, to be run again with changes; the values that each fact may be given."""

    def __init__(self, history: History, signal: str, scan: int) -> None:
        self.history, self.signal = history, signal
        self.moment, self.first = history.moment(scan), scan == 0
        self.before = history.scanner(scan).clocks
        self.wanted = self.moment.values[signal]
        within = (part for part in reach(history, Signal(signal)) if isinstance(part, Fact))
        self.values = {
            fact: self._values(fact) for fact in sorted(within, key=lambda one: (one.kind, one.name))
        }

    def value(self, changes: Mapping[Fact, Any]) -> Value:
        """What the signal comes out as with these changes, all else as it was."""
        scanner = Scanner(self.history.network)
        scanner.first = self.first
        scanner.values.update(self.moment.last)
        scanner.clocks = {name: Clock(one.et, one.state) for name, one in self.before.items()}
        inputs = {name: self.moment.values[name] for name in self.history.inputs}
        inputs |= {fact.name: value for fact, value in changes.items() if fact.kind == INPUT}
        for fact, value in changes.items():
            if fact.kind == PREVIOUS:
                scanner.values[fact.name] = value
            elif fact.kind == CLOCK:
                scanner.clocks[fact.name] = Clock(*value)
        elapsed = [value for fact, value in changes.items() if fact.kind == ELAPSED]
        return scanner.scan(elapsed[0] if elapsed else self.moment.dt, inputs)[self.signal]

    def matters(self, fact: Fact, facts: Collection[Fact], chance: random.Random) -> bool:
        """Whether another value of the fact, and any of what is not among the facts, changes the outcome."""
        if any(self._other({fact: value}) for value in self.values[fact]):
            return True
        rest = [one for one in self.values if one not in facts]
        for _ in range(TRIES):
            share = chance.choice((0.1, 0.3, 0.6, 1.0))
            changes = {one: chance.choice(self.values[one]) for one in rest if chance.random() < share}
            if self._other(changes | {fact: chance.choice(self.values[fact])}):
                return True
        return False

    def _other(self, changes: Mapping[Fact, Any]) -> bool:
        found = self.value(changes)
        return found != self.wanted and (found == found or self.wanted == self.wanted)  # noqa: PLR0124

    def _values(self, fact: Fact) -> Sequence[Any]:
        near = sorted({value + more for value in self.history.cuts.of(fact) for more in (-1, 0, 1)})
        counts = [int(value) for value in near if value >= 0 and value == int(value)] or [0]
        row = self.history.rows_by_name.get(fact.name)
        if fact.kind == ELAPSED:
            return counts
        if fact.kind == CLOCK and row is not None:
            kept = [(0, 1)] if isinstance(row.node, nodes.Rise | nodes.Fall | nodes.Tof) else []
            return [
                (0, 0),
                *kept,
                *((et, state) for state in COUNTS.get(type(row.node), ()) for et in counts),
            ]
        kind = self.history.types[fact.name]
        if kind is Type.BOOL:
            return (False, True)
        if kind is Type.REAL:
            return [*map(float, near), 0.0, float("nan")]
        if row is not None and isinstance(row.node, nodes.Since):
            return [value for value in counts if value <= row.node.limit_ms]
        return [int(value) for value in near if value == int(value)] or [0]
