"""A scan read a second time from docs/logic.md alone: nothing of the interpreter, the kernel or the prover.

Rule of this file: what each word gives stands in the document; a signal is worked out when it is asked for,
not row by row. What is remembered is a plain record.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any

from attrs import field, frozen

from steadfall.logic import nodes as word
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node, Type

EXACT = 2**53


@frozen
class Timer:
    """What a timer remembers: how long it has counted, and how far it is.

    `TON`: "running". `TOF`: "on", "running", "over". `TP`: "running", "over". Else "" (at rest).
    """

    ms: int = 0
    phase: str = ""


@frozen
class Memory:
    """All that one scan leaves to the next."""

    last: Mapping[str, Any]  # every signal
    timers: Mapping[str, Timer] = field(factory=dict)
    saw: Mapping[str, bool] = field(factory=dict)  # the input of an edge in the scan before
    first: bool = False  # no scan has been


def start(network: Network) -> Memory:
    """Before the first scan."""
    zero = {Type.BOOL: False, Type.INT: 0, Type.TIME: 0, Type.REAL: 0.0}
    last = {row.name: zero[row.type] for row in network.inputs}
    last |= {row.name: row.initial for row in network.assignments}
    rows = network.assignments
    timers = {row.name: Timer() for row in rows if isinstance(row.node, word.Ton | word.Tof | word.Tp)}
    saw = {
        row.name: isinstance(row.node, word.Fall)
        for row in rows
        if isinstance(row.node, word.Rise | word.Fall)
    }
    return Memory(last, timers, saw, True)


def scan(network: Network, before: Memory, ms: int, inputs: Mapping[str, Any]) -> Memory:
    """One scan, so many ms after the last one; what it leaves holds every signal of this scan."""
    given = {row.name: inputs.get(row.name, before.last[row.name]) for row in network.inputs}
    one = _Scan({row.name: row.node for row in network.assignments}, before, 0 if before.first else ms, given)
    for row in network.assignments:
        one.signal(row.name)
    return Memory(one.found, one.timers, one.saw)


class _Scan:
    def __init__(self, rows: Mapping[str, Node], before: Memory, ms: int, given: Mapping[str, Any]) -> None:
        self.rows, self.before, self.ms = rows, before, ms
        self.found: dict[str, Any] = dict(given)
        self.timers: dict[str, Timer] = {}
        self.saw: dict[str, bool] = {}

    def signal(self, name: str) -> Any:
        """The value of a signal in this scan."""
        if name not in self.found:
            node = self.rows[name]
            block = BLOCKS.get(type(node))
            self.found[name] = block(self, node, name) if block else self.of(node)
        return self.found[name]

    def of(self, node: Node) -> Any:
        """The value of an expression."""
        return EXPRESSIONS[type(node)](self, node)

    def elapsed(self, timer: str) -> int:
        self.signal(timer)
        return self.timers[timer].ms


def _compare(one: _Scan, node: word.Compare) -> bool:
    left, right = one.of(node.left), one.of(node.right)
    if any(isinstance(side, float) and math.isnan(side) for side in (left, right)):
        return node.op == "<>"
    order = (left > right) - (left < right)
    return order in {"<": (-1,), "<=": (-1, 0), ">": (1,), ">=": (0, 1), "=": (0,), "<>": (-1, 1)}[node.op]


def _within(value: Any) -> Any:
    return value if isinstance(value, float) else sorted((-EXACT, value, EXACT))[1]


def _least(left: float, right: float) -> float:
    return left if right > left else right


def _greatest(left: float, right: float) -> float:
    return left if right < left else right


def _root(value: float) -> float:
    """By the decimal library, which rounds to the nearest as IEEE 754 asks of a root."""
    if math.isnan(value) or value <= 0.0 or math.isinf(value):
        return value if value == math.inf else 0.0
    with localcontext(prec=60):
        return float(Decimal(value).sqrt())


def _to_time(one: _Scan, node: word.ToTime) -> int:
    steps = one.of(node.part) / node.step_ms
    if math.isnan(steps):
        return 0
    if abs(steps) >= EXACT:
        return int(math.copysign(EXACT, steps)) * node.step_ms
    exact = Fraction(steps)
    low = math.floor(exact)
    above = exact - low
    up = above > Fraction(1, 2) or (above == Fraction(1, 2) and low % 2 == 1)
    return (low + up) * node.step_ms


EXPRESSIONS: Mapping[type[Node], Callable[[_Scan, Any], Any]] = {
    word.Constant: lambda _, node: node.value,
    word.Read: lambda one, node: one.signal(node.name),
    word.Previous: lambda one, node: one.before.last[node.name],
    word.Elapsed: lambda one, node: one.elapsed(node.timer),
    word.Not: lambda one, node: one.of(node.part) is False,
    word.And: lambda one, node: False not in [one.of(part) for part in node.parts],
    word.Or: lambda one, node: True in [one.of(part) for part in node.parts],
    word.Compare: _compare,
    word.Select: lambda one, node: one.of(node.then) if one.of(node.when) else one.of(node.otherwise),
    word.Mux: lambda one, node: one.of(
        node.entries[sorted((0, one.of(node.index), len(node.entries) - 1))[1]]
    ),
    word.Add: lambda one, node: _within(one.of(node.left) + one.of(node.right)),
    word.Subtract: lambda one, node: _within(one.of(node.left) - one.of(node.right)),
    word.Multiply: lambda one, node: one.of(node.left) * one.of(node.right),
    word.Least: lambda one, node: _least(one.of(node.left), one.of(node.right)),
    word.Greatest: lambda one, node: _greatest(one.of(node.left), one.of(node.right)),
    word.Limit: lambda one, node: _least(_greatest(one.of(node.value), one.of(node.low)), one.of(node.high)),
    word.SquareRoot: lambda one, node: _root(one.of(node.part)),
    word.ToReal: lambda one, node: float(one.of(node.part)),
    word.ToTime: _to_time,
}


def _rise(one: _Scan, node: word.Rise, name: str) -> bool:
    one.saw[name] = one.of(node.part)
    return one.saw[name] and not one.before.saw[name]


def _fall(one: _Scan, node: word.Fall, name: str) -> bool:
    one.saw[name] = one.of(node.part)
    return one.before.saw[name] and not one.saw[name]


def _sr(one: _Scan, node: word.SetDominant, name: str) -> bool:
    if one.of(node.set):
        return True
    return False if one.of(node.reset) else bool(one.before.last[name])


def _rs(one: _Scan, node: word.ResetDominant, name: str) -> bool:
    if one.of(node.reset):
        return False
    return True if one.of(node.set) else bool(one.before.last[name])


def _preset(one: _Scan, node: Any) -> int:
    given: int = one.of(node.preset)
    return max(0, given)


def _ton(one: _Scan, node: word.Ton, name: str) -> bool:
    preset, was = _preset(one, node), one.before.timers[name]
    if not one.of(node.part):
        one.timers[name] = Timer()
        return False
    ms = min(was.ms + one.ms, preset) if was.phase else 0
    one.timers[name] = Timer(ms, "running")
    return ms == preset or ms > preset


def _tof(one: _Scan, node: word.Tof, name: str) -> bool:
    preset, was = _preset(one, node), one.before.timers[name]
    if one.of(node.part):
        one.timers[name] = Timer(0, "on")
        return True
    if was.phase not in ("on", "running"):
        one.timers[name] = was
        return False
    ms = min(was.ms + one.ms, preset) if was.phase == "running" else was.ms
    lasts = ms < preset
    one.timers[name] = Timer(ms, "running" if lasts else "over")
    return lasts


def _tp(one: _Scan, node: word.Tp, name: str) -> bool:
    preset, was, on = _preset(one, node), one.before.timers[name], one.of(node.part)
    if not was.phase and not on:
        one.timers[name] = was
        return False
    ms = min(was.ms + one.ms, preset) if was.phase == "running" else was.ms
    if was.phase != "over" and ms < preset:
        one.timers[name] = Timer(ms, "running")
        return True
    one.timers[name] = Timer(ms, "over") if on else Timer()
    return False


def _since(one: _Scan, node: word.Since, name: str) -> int:
    counted: int = 0 if one.before.last[node.event] else one.before.last[name]
    return sorted((counted + one.ms, node.limit_ms))[0]


BLOCKS: Mapping[type[Node], Callable[[_Scan, Any, str], Any]] = {
    word.Rise: _rise,
    word.Fall: _fall,
    word.SetDominant: _sr,
    word.ResetDominant: _rs,
    word.Ton: _ton,
    word.Tof: _tof,
    word.Tp: _tp,
    word.Since: _since,
}
