"""What a network means: the values of every signal, scan by scan, in plain Python.

Rule of this file: one row per node class; this is the definition, and every faster or foreign reader is
tested against it. Timers follow the timing diagrams of IEC 61131-3 (rules from memory of the standard): in
the scan in which a timer starts its elapsed time ET is 0; each later scan adds the time since the last one;
ET never runs past the preset.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import attrs

from steadfall.comparisons import HOLDS
from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, TIMERS, Node, Type, Value

_PYTHON: Mapping[Type, type] = {Type.BOOL: bool, Type.TIME: int, Type.INT: int, Type.REAL: float}


@attrs.define
class Clock:
    """What a timer or edge keeps from scan to scan."""

    et: int = 0  # ms
    state: int = 0  # edges: 0 or 1, the last value of their part; timers: the constants below


REST, ON, TIMING, OUT = range(4)  # TON: REST, ON. TOF: REST, ON, TIMING, OUT. TP: REST, TIMING, OUT.


class Scanner:
    """Runs a network scan by scan; the values before the first scan are the initial ones."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.values: dict[str, Value] = {row.name: row.initial for row in network.inputs}
        self.values |= {row.name: row.initial for row in network.assignments}
        self.last: dict[str, Value] = dict(self.values)
        self.clocks = {row.name: Clock() for row in network.assignments if row.is_block}
        self.types = network.types
        self.inputs = {row.name: row for row in network.inputs}
        self.timers = [
            (f"{row.name}.ET", row.name) for row in network.assignments if isinstance(row.node, TIMERS)
        ]
        self.dt = 0
        self.first = True
        self.name = ""  # of the assignment being evaluated

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> Mapping[str, Value]:
        """One scan, `dt_ms` after the last one (in the first scan 0 is taken); returns every signal and timer
        ET.

        Inputs that are not given keep their value. An elapsed time is listed under the timer's name and
        `.ET`.
        """
        if not 0 <= dt_ms <= LARGEST:
            raise ValueError(f"no scan can follow the last one after {dt_ms} ms")
        self.last = dict(self.values)
        self._accept(inputs)
        self.dt = 0 if self.first else dt_ms
        for row in self.network.assignments:
            self.name = row.name
            self.values[row.name] = self.value(row.node)
        self.first = False
        return self.values | {shown: self.clocks[name].et for shown, name in self.timers}

    def _accept(self, inputs: Mapping[str, Value]) -> None:
        for name, value in inputs.items():
            if name not in self.inputs:
                raise KeyError(f"'{name}' is not an input")
            self.inputs[name].check(value)
            self.values[name] = _PYTHON[self.inputs[name].type](value)

    def value(self, node: Node) -> Any:
        """The value of a node in this scan."""
        return MEANING[type(node)](node, self)

    @property
    def clock(self) -> Clock:
        """What the block of the present assignment keeps."""
        return self.clocks[self.name]


def _mux(node: nodes.Mux, run: Scanner) -> Value:
    index = min(max(run.value(node.index), 0), len(node.entries) - 1)
    entry: Value = run.value(node.entries[index])
    return entry


def _least(left: float, right: float) -> float:
    return left if left < right else right


def _greatest(left: float, right: float) -> float:
    return left if left > right else right


def _stopped(value: Any) -> Any:
    """A whole number within +-2^53; a REAL as it is."""
    return value if isinstance(value, float) else min(max(value, -LARGEST), LARGEST)


def _limit(node: nodes.Limit, run: Scanner) -> float:
    return _least(_greatest(run.value(node.value), run.value(node.low)), run.value(node.high))


def root(value: float) -> float:
    """The square root of a REAL; 0 of what is not above 0."""
    return math.sqrt(value) if value > 0.0 else 0.0


def rounded(value: float, step_ms: int) -> int:
    """A REAL as a multiple of a step; 0 where it is not a number."""
    steps = value / step_ms
    if steps != steps:  # noqa: PLR0124 - only "not a number" differs from itself
        return 0
    return round(_limited(steps)) * step_ms


def _limited(steps: float) -> float:
    return _least(_greatest(steps, -float(LARGEST)), float(LARGEST))


def _rise(node: nodes.Rise, run: Scanner) -> bool:
    now = run.value(node.part)
    before, run.clock.state = run.clock.state, int(now)
    return bool(now and not before)


def _fall(node: nodes.Fall, run: Scanner) -> bool:
    off = not run.value(node.part)
    before, run.clock.state = run.clock.state, int(off)
    return bool(off and not before)


def _set_dominant(node: nodes.SetDominant, run: Scanner) -> bool:
    return bool(run.value(node.set) or (not run.value(node.reset) and run.last[run.name]))


def _reset_dominant(node: nodes.ResetDominant, run: Scanner) -> bool:
    return bool(not run.value(node.reset) and (run.value(node.set) or run.last[run.name]))


def _preset(node: nodes.Timer, run: Scanner) -> int:
    return max(int(run.value(node.preset)), 0)


def _ton(node: nodes.Ton, run: Scanner) -> bool:
    on, preset, clock = run.value(node.part), _preset(node, run), run.clock
    clock.et = min(clock.et + run.dt, preset) if on and clock.state == ON else 0
    clock.state = ON if on else REST
    return on and clock.et >= preset


def _tof(node: nodes.Tof, run: Scanner) -> bool:
    on, preset, clock = run.value(node.part), _preset(node, run), run.clock
    if on:
        clock.state, clock.et = ON, 0
        return True
    if clock.state == TIMING:
        clock.et = min(clock.et + run.dt, preset)
    elif clock.state == ON:  # it has just fallen
        clock.state = TIMING
    if clock.state == TIMING and clock.et >= preset:
        clock.state = OUT
    return clock.state == TIMING


def _tp(node: nodes.Tp, run: Scanner) -> bool:
    on, preset, clock = run.value(node.part), _preset(node, run), run.clock
    if clock.state == TIMING:
        clock.et = min(clock.et + run.dt, preset)
    elif clock.state == REST and on:
        clock.state = TIMING
    if clock.state == TIMING and clock.et >= preset:
        clock.state = OUT
    if clock.state == OUT and not on:
        clock.state, clock.et = REST, 0
    return clock.state == TIMING


def _since(node: nodes.Since, run: Scanner) -> int:
    before = 0 if run.last[node.event] else run.last[run.name]
    return min(int(before) + run.dt, node.limit_ms)


MEANING: Mapping[type[Node], Callable[[Any, Scanner], Any]] = {
    nodes.Constant: lambda node, _: node.value,
    nodes.Read: lambda node, run: run.values[node.name],
    nodes.Previous: lambda node, run: run.last[node.name],
    nodes.Elapsed: lambda node, run: run.clocks[node.timer].et,
    nodes.Not: lambda node, run: not run.value(node.part),
    nodes.And: lambda node, run: all(run.value(part) for part in node.parts),
    nodes.Or: lambda node, run: any(run.value(part) for part in node.parts),
    nodes.Compare: lambda node, run: HOLDS[node.op](run.value(node.left), run.value(node.right)),
    nodes.Select: lambda node, run: run.value(node.then if run.value(node.when) else node.otherwise),
    nodes.Mux: _mux,
    nodes.Add: lambda node, run: _stopped(run.value(node.left) + run.value(node.right)),
    nodes.Subtract: lambda node, run: _stopped(run.value(node.left) - run.value(node.right)),
    nodes.Multiply: lambda node, run: run.value(node.left) * run.value(node.right),
    nodes.Least: lambda node, run: _least(run.value(node.left), run.value(node.right)),
    nodes.Greatest: lambda node, run: _greatest(run.value(node.left), run.value(node.right)),
    nodes.Limit: _limit,
    nodes.SquareRoot: lambda node, run: root(run.value(node.part)),
    nodes.ToReal: lambda node, run: float(run.value(node.part)),
    nodes.ToTime: lambda node, run: rounded(run.value(node.part), node.step_ms),
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}
