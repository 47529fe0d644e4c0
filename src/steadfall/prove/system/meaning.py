"""What each node means to the solver: one row per node class, the same meaning as `scan.interpreter`.

Rule of this file: BOOL is a solver Bool; INT and TIME are Int (whole milliseconds, never reals: strict bounds
would be lost); REAL is a value of `prove.system.bounds.intervals`. A test fails when a node class lacks its
row.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Set
from typing import Any

from attrs import define, field

from steadfall.comparisons import HOLDS
from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, Node, Type
from steadfall.logic.types import type_of
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.bounds.intervals import Choice, Fixed, Places, Reading, Real, ends, of_input
from steadfall.prove.system.kept import age, elapsed, last, lasting, state
from steadfall.scan.interpreter import root

REST, ON, TIMING, OUT = range(4)  # as in the interpreter


@define(eq=False)
class Pass:
    """One scan in symbols: the state before, the time since the last scan, and what the rows give."""

    network: Network
    places: Places
    pre: Mapping[str, Any]  # the state by key (`prove.system.kept`)
    dt: Any
    inputs: Mapping[str, Any]  # BOOL, INT, TIME inputs; REAL are readings
    steps: dict[tuple[str, int], Any]  # reading, step -> whole number of steps that it is rounded to
    unbounded: Set[str] = frozenset()  # clocks that count on past their limit
    values: dict[str, Any] = field(factory=dict)
    post: dict[str, Any] = field(factory=dict)
    made: dict[Node, Reading] = field(factory=dict)  # what arithmetic of this scan gives, wherever it stands
    name: str = ""
    count: int = 0

    @property
    def space(self) -> Space:
        """Where its terms live."""
        return self.places.space

    def run(self) -> None:
        """Evaluates every row from top to bottom."""
        for given in self.network.inputs:
            known = given.name in self.inputs
            self.values[given.name] = self.inputs[given.name] if known else Reading(of_input(given.name))
        for row in self.network.assignments:
            self.name, self.count = row.name, 0
            self.values[row.name] = self.value(row.node)
        for name in lasting(self.network):
            if last(name) in self.pre:
                self.post[last(name)] = self.values[name]
        for row in self.network.assignments:
            if isinstance(row.node, nodes.Since):
                self.post[age(row.name)] = choose(
                    self.values[row.node.event], self.space.value(0), self.values[row.name]
                )

    def value(self, node: Node) -> Any:
        """A node in symbols."""
        return MEANING[type(node)](node, self)

    def last(self, name: str) -> Any:
        """A signal's value at the end of the last scan."""
        return self.pre[last(name)]

    def reading(self, low: float = -math.inf, high: float = math.inf) -> Reading:
        """A new reading, the same one whenever this node of this row is evaluated."""
        self.count += 1
        return Reading(f"node!{self.name}!{self.count}", low, high)

    def once(self, node: Node, low: float = -math.inf, high: float = math.inf) -> Reading:
        """The reading of a node, the same wherever it stands in a scan."""
        if node not in self.made:
            self.made[node] = self.reading(low, high)
        return self.made[node]


def all_of(parts: list[Any]) -> Any:
    """The conjunction of some Bools."""
    return terms.And(parts) if len(parts) != 1 else parts[0]


def any_of(parts: list[Any]) -> Any:
    """The disjunction of some Bools."""
    return terms.Or(parts) if len(parts) != 1 else parts[0]


def choose(when: Any, then: Any, otherwise: Any) -> Any:
    """One or the other, of any type."""
    if terms.is_true(when) or then is otherwise:
        return then
    if terms.is_false(when):
        return otherwise
    if isinstance(then, Fixed | Reading | Choice):
        return then if then == otherwise else Choice(when, then, otherwise)
    return then if then.eq(otherwise) else terms.If(when, then, otherwise)


def _constant(node: nodes.Constant, run: Pass) -> Any:
    if node.type is Type.BOOL:
        return run.space.value(bool(node.value))
    return Fixed(float(node.value)) if node.type is Type.REAL else run.space.value(int(node.value))


def _previous(node: nodes.Previous, run: Pass) -> Any:
    # A REAL of the last scan may be anything: only what is true or false, or whole, is kept.
    return Reading(f"last!{node.name}") if node.type is Type.REAL else run.last(node.name)


def _compare(node: nodes.Compare, run: Pass) -> Any:
    left, right = run.value(node.left), run.value(node.right)
    kind = type_of(node.left)
    if kind is Type.REAL:
        return run.places.compare(node.op, left, right)
    if kind is Type.INT:
        return _spread(node.op, left, right)
    return COMPARE[node.op](left, right)


def _spread(op: str, left: Any, right: Any) -> Any:
    return COMPARE[op](left, right)


COMPARE: Mapping[str, Callable[[Any, Any], Any]] = {
    **HOLDS,
    "<>": lambda left, right: terms.Not(left == right),  # `!=` would make a term of its own
}


def _mux(node: nodes.Mux, run: Pass) -> Any:
    index, last = run.value(node.index), len(node.entries) - 1
    groups: dict[Node, list[Any]] = {}
    for place, entry in enumerate(node.entries):
        here = index <= 0 if place == 0 else index >= last if place == last else index == place
        groups.setdefault(entry, []).append(here)
    *rest, (final, _) = groups.items()
    found = run.value(final)
    for entry, places in reversed(rest):
        found = choose(any_of(places), run.value(entry), found)
    return found


def _fixed(*parts: Real) -> list[float] | None:
    values = [part.value for part in parts if isinstance(part, Fixed)]
    return values if len(values) == len(parts) else None


def _arithmetic(node: Any, run: Pass, exact: Callable[[float, float], float]) -> Real:
    left, right = run.value(node.left), run.value(node.right)
    run.count += 1  # also where nothing new is made, so that the next reading has its own key
    known = _fixed(left, right)
    if known:
        return Fixed(exact(*known))
    if node not in run.made:
        corners = [exact(a, b) for a in ends(left) for b in ends(right)]
        number = not any(math.isnan(corner) for corner in corners)
        return run.once(node, min(corners), max(corners)) if number else run.once(node)
    return run.made[node]


def _sum(node: Any, run: Pass, exact: Callable[[Any, Any], Any]) -> Any:
    """A sum or difference; of whole numbers it stops at +-2^53."""
    if type_of(node) is Type.REAL:
        return _arithmetic(node, run, exact)
    total, most = exact(run.value(node.left), run.value(node.right)), run.space.value(LARGEST)
    return terms.If(total > most, most, terms.If(total < -most, -most, total))


def _limit(node: nodes.Limit, run: Pass) -> Real:
    low, value, high = run.value(node.low), run.value(node.value), run.value(node.high)
    (a, _), (b, c), (_, d) = ends(low), ends(value), ends(high)
    least, most = min(max(a, b), ends(high)[0]), min(max(ends(low)[1], c), d)
    known = _fixed(low, value, high)
    return Fixed(min(max(known[1], known[0]), known[2])) if known else run.once(node, least, most)


def _square_root(node: nodes.SquareRoot, run: Pass) -> Real:
    low, high = ends(run.value(node.part))
    run.count += 1
    if low == high:
        return Fixed(root(low))
    return run.made.setdefault(node, run.reading(root(low), root(high)))


def _to_real(node: nodes.ToReal, run: Pass) -> Real:
    part = run.value(node.part)
    if terms.is_int_value(part):
        return Fixed(float(part.as_long()))
    return run.once(node, 0.0 if isinstance(node.part, nodes.Elapsed) else -math.inf)


def _to_time(node: nodes.ToTime, run: Pass) -> Any:
    return _rounded(run.value(node.part), node.step_ms, run)


def _rounded(real: Real, step: int, run: Pass) -> Any:
    if isinstance(real, Choice):
        return choose(real.when, _rounded(real.then, step, run), _rounded(real.otherwise, step, run))
    if isinstance(real, Fixed):
        steps = real.value / step
        return (
            run.space.value(0)
            if math.isnan(steps)
            else run.space.value(round(min(max(steps, -float(LARGEST)), float(LARGEST))) * step)
        )
    of = real.key, step
    run.steps.setdefault(of, run.space.whole(f"steps!{real.key}!{step}"))
    run.places.spans.setdefault(real.key, (real.low, real.high))
    return run.steps[of] * step


def _rise(node: nodes.Rise, run: Pass) -> Any:
    now, key = run.value(node.part), state(run.name)
    run.post[key] = now
    return terms.And(now, terms.Not(run.pre[key]))


def _fall(node: nodes.Fall, run: Pass) -> Any:
    off, key = terms.Not(run.value(node.part)), state(run.name)
    run.post[key] = off
    return terms.And(off, terms.Not(run.pre[key]))


def _set_dominant(node: nodes.SetDominant, run: Pass) -> Any:
    return terms.Or(run.value(node.set), terms.And(terms.Not(run.value(node.reset)), run.last(run.name)))


def _reset_dominant(node: nodes.ResetDominant, run: Pass) -> Any:
    return terms.And(terms.Not(run.value(node.reset)), terms.Or(run.value(node.set), run.last(run.name)))


def _preset(node: nodes.Timer, run: Pass) -> Any:
    preset = run.value(node.preset)
    return preset if terms.is_int_value(preset) and preset.as_long() >= 0 else least(preset, 0, above=True)


def least(a: Any, b: Any, *, above: bool = False) -> Any:
    """The lesser (or greater) of two whole numbers."""
    return terms.If(a >= b if above else a <= b, a, b)


def _ton(node: nodes.Ton, run: Pass) -> Any:
    on, preset = run.value(node.part), _preset(node, run)
    et, was = elapsed(run.name), state(run.name)
    now = terms.If(terms.And(on, run.pre[was]), least(run.pre[et] + run.dt, preset), 0)
    run.post[et], run.post[was] = now, on
    return terms.And(on, now >= preset)


def _tof(node: nodes.Tof, run: Pass) -> Any:
    on, preset = run.value(node.part), _preset(node, run)
    et, was = run.pre[elapsed(run.name)], run.pre[state(run.name)]
    gone = terms.If(was == TIMING, least(et + run.dt, preset), et)
    timing = terms.Or(was == TIMING, was == ON)
    new = terms.If(timing, terms.If(gone >= preset, OUT, TIMING), was)
    run.post[elapsed(run.name)] = terms.If(on, 0, gone)
    run.post[state(run.name)] = terms.If(on, ON, new)
    return terms.Or(on, terms.And(timing, gone < preset))


def _tp(node: nodes.Tp, run: Pass) -> Any:
    on, preset = run.value(node.part), _preset(node, run)
    et, was = run.pre[elapsed(run.name)], run.pre[state(run.name)]
    gone = terms.If(was == TIMING, least(et + run.dt, preset), et)
    timing = terms.Or(was == TIMING, terms.And(was == REST, on))
    over = terms.Or(terms.And(timing, gone >= preset), was == OUT)
    ended = terms.And(over, terms.Not(on))
    run.post[elapsed(run.name)] = terms.If(ended, 0, gone)
    run.post[state(run.name)] = terms.If(ended, REST, terms.If(over, OUT, terms.If(timing, TIMING, was)))
    return terms.And(timing, gone < preset)


def _since(node: nodes.Since, run: Pass) -> Any:
    since = run.pre[age(run.name)] + run.dt
    return since if run.name in run.unbounded else least(since, node.limit_ms)


def _elapsed(node: nodes.Elapsed, run: Pass) -> Any:
    return run.post[elapsed(node.timer)]


MEANING: Mapping[type[Node], Callable[[Any, Pass], Any]] = {
    nodes.Constant: _constant,
    nodes.Read: lambda node, run: run.values[node.name],
    nodes.Previous: _previous,
    nodes.Elapsed: _elapsed,
    nodes.Not: lambda node, run: terms.Not(run.value(node.part)),
    nodes.And: lambda node, run: all_of([run.value(part) for part in node.parts]),
    nodes.Or: lambda node, run: any_of([run.value(part) for part in node.parts]),
    nodes.Compare: _compare,
    nodes.Select: lambda node, run: choose(
        run.value(node.when), run.value(node.then), run.value(node.otherwise)
    ),
    nodes.Mux: _mux,
    nodes.Add: lambda node, run: _sum(node, run, lambda a, b: a + b),
    nodes.Subtract: lambda node, run: _sum(node, run, lambda a, b: a - b),
    nodes.Multiply: lambda node, run: _arithmetic(node, run, lambda a, b: a * b),
    nodes.Least: lambda node, run: _arithmetic(node, run, lambda a, b: a if a < b else b),
    nodes.Greatest: lambda node, run: _arithmetic(node, run, lambda a, b: a if a > b else b),
    nodes.Limit: _limit,
    nodes.SquareRoot: _square_root,
    nodes.ToReal: _to_real,
    nodes.ToTime: _to_time,
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}
