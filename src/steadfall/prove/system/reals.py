"""Measured values as real numbers, to look for a way to a goal: arithmetic is what it says, and kept from
scan to scan.

Rule of this file: it serves to find runs, never to prove: real numbers are not rounded as a controller's are,
and a run counts only where the interpreter goes the same way. So that it mostly does, nothing that is worked
out may lie closer than a margin to what it is compared with; and a long delay is one in which the scan before
its last still changes nothing, ramps having gone on meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from attrs import define, field

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, Node, Type, Value
from steadfall.logic.types import children, type_of
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.kept import Part, key_of, last, lasting, state
from steadfall.prove.system.meaning import COMPARE, MEANING, Pass

MARGIN = 1, 1024  # in the unit of what is compared
AWAY = 1, 64  # of a timer step, from where a time would be rounded the other way
FARTHEST = 10**6  # of a measured value
_MADE = (nodes.Previous, nodes.Add, nodes.Subtract, nodes.Multiply, nodes.Least, nodes.Greatest, nodes.ToReal)
_CHOOSING = (nodes.Select, nodes.Mux, nodes.Limit, nodes.Least, nodes.Greatest)


def works_out(network: Network) -> bool:
    """Whether a network does arithmetic with measured values that a search in real numbers can follow.

    Where it does none, their places say all. A product of two things that change (a filter's step by the time
    of a scan) is not followed, nor is a square root: such a value may then be anything, and runs alone look
    for a way.
    """
    every = [node for row in network.assignments for node in row.parts]
    products = (node for node in every if isinstance(node, nodes.Multiply))
    if any(not any(isinstance(part, nodes.Constant) for part in children(node)) for node in products):
        return False
    if any(isinstance(node, nodes.SquareRoot) for node in every):
        return False
    return any(isinstance(node, (*_MADE, nodes.Limit)) and type_of(node) is Type.REAL for node in every)


def measured(network: Network) -> Iterable[tuple[Part, str, Value]]:
    """What an exact model keeps besides, and how it begins: measured values that are remembered, and every
    input.
    """
    kept = {row.name: row.initial for row in network.assignments if row.type is Type.REAL}
    kept |= {row.name: 0.0 for row in network.inputs if row.type is Type.REAL}
    yield from ((Part.LAST, name, kept[name]) for name in network.remembered if name in kept)
    yield from ((Part.GIVEN, row.name, row.initial) for row in network.inputs)


def _rests(network: Network, space: Space) -> list[Any]:
    """Where values come to rest, such as the ends of a limit: these they may equal."""
    every = (node for row in network.assignments for node in row.parts if isinstance(node, _CHOOSING))
    parts = (part for node in every for part in children(node) if isinstance(part, nodes.Constant))
    return [
        space.value(value)
        for value in sorted({float(part.value) for part in parts if part.type is Type.REAL})
    ]


@define(eq=False)
class Exact(Pass):
    """One scan in symbols, measured values as real numbers."""

    rests: list[Any] = field(factory=list)
    apart: list[Any] = field(factory=list)  # what keeps values away from what they are compared with

    def run(self) -> None:
        """Evaluates every row from top to bottom."""
        self.rests = _rests(self.network, self.space)
        super().run()
        self.post |= {key_of(Part.GIVEN, name): symbol for name, symbol in self.inputs.items()}

    def value(self, node: Node) -> Any:
        """A node in symbols."""
        return (_EXACT.get(type(node)) or MEANING[type(node)])(node, self)

    def limits(self, longest: int) -> list[Any]:
        """What holds of the inputs and the delay, so that the interpreter goes the same way."""
        far = [
            terms.And(one >= -FARTHEST, one <= FARTHEST) for one in self.inputs.values() if terms.is_real(one)
        ]
        held = {name: self.pre[key_of(Part.GIVEN, name)] for name in self.inputs}
        before = Exact(
            self.network, self.places, self.pre, self.dt - longest, held, self.steps, self.unbounded
        )
        before.run()
        keys = [*map(last, lasting(self.network)), *(state(row.name) for row in self.network.assignments)]
        kept = [key for key in keys if key in self.pre and not terms.is_real(self.pre[key])]
        same = [before.post[key] == self.pre[key] for key in kept]
        return [
            *self.apart,
            *far,
            terms.Implies(self.dt > longest, self.space.all_of([*same, *before.apart])),
        ]


def _constant(node: nodes.Constant, run: Exact) -> Any:
    return (
        run.space.value(float(node.value)) if node.type is Type.REAL else MEANING[nodes.Constant](node, run)
    )


def _compare(node: nodes.Compare, run: Exact) -> Any:
    left, right = run.value(node.left), run.value(node.right)
    if type_of(node.left) is Type.REAL and not (terms.is_const(left) and terms.is_const(right)):
        resting = [side == rest for side in (left, right) for rest in run.rests if not terms.is_const(side)]
        margin = run.space.fraction(*MARGIN)
        run.apart.append(terms.Or(left - right >= margin, right - left >= margin, *resting))
    return COMPARE[node.op](left, right)


def _sum(sign: int) -> Callable[[Any, Exact], Any]:
    def sum_of(node: Any, run: Exact) -> Any:
        if type_of(node) is not Type.REAL:
            return MEANING[type(node)](node, run)
        return run.value(node.left) + sign * run.value(node.right)

    return sum_of


def _lesser(a: Any, b: Any) -> Any:
    return terms.If(a < b, a, b)


def _greater(a: Any, b: Any) -> Any:
    return terms.If(a > b, a, b)


def _to_time(node: nodes.ToTime, run: Exact) -> Any:
    steps = run.value(node.part) / node.step_ms + run.space.fraction(1, 2)
    whole = terms.ToInt(steps)
    away = run.space.fraction(*AWAY)
    run.apart += [steps - whole >= away, steps - whole <= 1 - away]
    return terms.If(whole > LARGEST, LARGEST, terms.If(whole < -LARGEST, -LARGEST, whole)) * node.step_ms


_EXACT: Mapping[type[Node], Callable[[Any, Any], Any]] = {
    nodes.Constant: _constant,
    nodes.Previous: lambda node, run: run.last(node.name),
    nodes.Compare: _compare,
    nodes.Add: _sum(1),
    nodes.Subtract: _sum(-1),
    nodes.Multiply: lambda node, run: run.value(node.left) * run.value(node.right),
    nodes.Least: lambda node, run: _lesser(run.value(node.left), run.value(node.right)),
    nodes.Greatest: lambda node, run: _greater(run.value(node.left), run.value(node.right)),
    nodes.Limit: lambda node, run: _lesser(
        _greater(run.value(node.value), run.value(node.low)), run.value(node.high)
    ),
    nodes.ToReal: lambda node, run: terms.ToReal(run.value(node.part)),
    nodes.ToTime: _to_time,
}
