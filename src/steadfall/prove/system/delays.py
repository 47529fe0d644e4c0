"""How long a settled network may be left alone: up to the first moment at which a time passes what it is
compared with.

Rule of this file: while nothing is due, the scans in between change nothing, so one long delay stands for all
of them. The scan that sees a time pass comes at most one longest scan after the last one that did not.
Whatever is unclear counts as due: that costs steps, never truth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import permutations
from typing import Any

from attrs import frozen

from steadfall.comparisons import MIRROR
from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import TIMERS, Node, Type
from steadfall.logic.types import type_of
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.kept import age, elapsed, last, state
from steadfall.prove.system.meaning import ON, TIMING

_JUST_AFTER = {
    "<": (0,),
    ">=": (0,),
    "<=": (1,),
    ">": (1,),
    "=": (0, 1),
    "<>": (0, 1),
}  # where `clock OP x` turns


@frozen(eq=False)
class Leaf:
    """A time that a comparison may look at, and when it does: a clock that may be running, or one that
    stands.
    """

    when: tuple[Any, ...]
    value: Any
    running: Any = None  # None: it stands
    limit: int | None = None  # what a clock of fixed limit never passes


class Delays:
    """Collects the moments at which something is due, in symbols of the state before a scan."""

    def __init__(self, network: Network, pre: Mapping[str, Any], space: Space) -> None:
        self.rows = {row.name: row for row in network.assignments}
        self.pre = pre
        self.space = space
        self.network = network

    def rules(self, dt: Any, longest: int) -> list[Any]:
        """What holds of a delay that is longer than a scan."""
        found: dict[str, Any] = {}
        for when, clock, due in self._due():
            early = clock.value < due
            if terms.is_int_value(due) and clock.limit is not None and due.as_long() > clock.limit:
                continue
            guard = [
                *when,
                early,
                *([] if clock.running is None or terms.is_true(clock.running) else [clock.running]),
            ]
            rule = terms.Implies(terms.And(guard), dt <= due - clock.value - 1 + longest)
            found.setdefault(rule.sexpr(), rule)
        return [*found.values(), *self._held_back(dt, longest)]

    def _held_back(self, dt: Any, longest: int) -> Iterable[Any]:
        """A timer that has come to the lesser of two presets stands there until it is given the greater one,
        and goes on from there: no long delay in between, which would count it on at once.
        """
        for row in self.network.assignments:
            if isinstance(row.node, TIMERS):
                clock, presets = self._elapsed(row.name), list(self.leaves(row.node.preset))
                for low, high in permutations(presets, 2):
                    if low.value.eq(high.value) or low.running is not None or high.running is not None:
                        continue
                    between = terms.And(low.value <= clock.value, clock.value < high.value)
                    yield terms.Implies(terms.And(clock.running, between), dt <= longest)

    def _due(self) -> Iterable[tuple[tuple[Any, ...], Leaf, Any]]:
        for row in self.network.assignments:
            if isinstance(row.node, TIMERS):
                clock = self._elapsed(row.name)
                for preset in self.leaves(row.node.preset):
                    if preset.running is None:
                        yield preset.when, clock, preset.value
            for node in row.parts:
                if isinstance(node, nodes.Compare) and type_of(node.left) is Type.TIME:
                    left, right = list(self.leaves(node.left)), list(self.leaves(node.right))
                    yield from _crossings(node.op, left, right)
                    yield from _crossings(MIRROR[node.op], right, left)

    def leaves(self, node: Node) -> Iterable[Leaf]:
        """The times that a node may stand for."""
        if isinstance(node, nodes.Constant):
            yield Leaf((), self.space.value(int(node.value)))
        elif isinstance(node, nodes.Elapsed):
            yield self._elapsed(node.timer)
        elif isinstance(node, nodes.Read | nodes.Previous):
            yield from self._signal(node)
        elif isinstance(node, nodes.Select):
            yield from self.leaves(node.then)
            yield from self.leaves(node.otherwise)
        elif isinstance(node, nodes.Mux):
            yield from self._mux(node)

    def _mux(self, node: nodes.Mux) -> Iterable[Leaf]:
        index = node.index
        known = isinstance(index, nodes.Read | nodes.Previous) and last(index.name) in self.pre
        end = len(node.entries) - 1
        for place, entry in enumerate(node.entries):
            here: tuple[Any, ...] = ()
            if known and isinstance(index, nodes.Read | nodes.Previous):
                at = self.pre[last(index.name)]  # settled: the same in the scans to come
                here = (at <= 0 if place == 0 else at >= end if place == end else at == place,) if end else ()
            for leaf in self.leaves(entry):
                yield Leaf((*here, *leaf.when), leaf.value, leaf.running, leaf.limit)

    def _signal(self, node: nodes.Read | nodes.Previous) -> Iterable[Leaf]:
        row: Assignment | None = self.rows.get(node.name)
        key = last(node.name)
        if row is not None and isinstance(row.node, nodes.Since):
            yield Leaf((), self.pre[age(node.name)], self.space.value(True), row.node.limit_ms)
        elif key in self.pre:
            yield Leaf((), self.pre[key])
        elif row is not None and not row.is_block:
            yield from self.leaves(row.node)

    def _elapsed(self, timer: str) -> Leaf:
        where = self.pre[state(timer)]
        ton = isinstance(self.rows[timer].node, nodes.Ton)
        return Leaf((), self.pre[elapsed(timer)], where if ton else where == TIMING)


def _crossings(
    op: str, clocks: list[Leaf], others: list[Leaf]
) -> Iterable[tuple[tuple[Any, ...], Leaf, Any]]:
    for clock in clocks:
        if clock.running is None:
            continue
        for other in others:
            if other.running is None:
                for later in _JUST_AFTER[op]:
                    yield (*clock.when, *other.when), clock, terms.simplify(other.value + later)


__all__ = ["ON", "Delays", "Leaf"]
