"""Runs a plan's network on both readers and reads off what happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.scan.interpreter import Scanner
from tests.scan.agreement import bits
from tests.scan.machine import Machine

Inputs = Mapping[str, Value]


class Run:
    """The values of every signal at every scan."""

    def __init__(self, times: Sequence[int], rows: Sequence[Mapping[str, Value]]) -> None:
        self.times, self.rows = times, rows

    def of(self, name: str) -> list[Value]:
        return [row[name] for row in self.rows]

    def at(self, t: int, name: str) -> Value:
        return self.rows[self.times.index(t)][name]

    def changes(self, name: str) -> list[tuple[int, Value]]:
        """The first value, and every later one that differs from the one before."""
        values = self.of(name)
        new = [True, *(a != b for a, b in pairwise(values))]
        return [(t, value) for t, value, is_new in zip(self.times, values, new, strict=True) if is_new]

    def openings(self, name: str) -> list[tuple[int, int]]:
        """Start and end of every opening that has ended."""
        changes = self.changes(name)
        return [(t, end) for (t, value), (end, _) in pairwise(changes) if value]


def run(plan: Plan, until: int, changes: Mapping[int, Inputs], dt: int = 10) -> Run:
    """Scans at 0, dt, 2 dt ... until; inputs change at their moments; interpreter and fast scan must
    agree.
    """
    network = build(plan)
    meaning, fast = Scanner(network), Machine(network)
    times, rows = list(range(0, until + 1, dt)), []
    assert set(changes) <= set(times)
    for t in times:
        row = dict(meaning.scan(dt, changes.get(t, {})))
        twin = fast.scan(dt, changes.get(t, {}))
        assert {name: bits(value) for name, value in row.items()} == {name: bits(twin[name]) for name in row}
        rows.append(row)
    return Run(times, rows)
