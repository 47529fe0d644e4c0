"""What each node class becomes on the register machine: tables keyed by node class, as in the interpreter."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import type_of
from steadfall.scan import opcodes as op
from steadfall.scan.layout import Layout, Register, kind_of, nothing


def read(node: Node, to: Layout) -> int:
    """The register that holds a node's value at this point of the scan."""
    return EXPRESSIONS[type(node)](node, to)


def _all(node: nodes.And, to: Layout) -> int:
    plain = [part for part in node.parts if not isinstance(part, nodes.Not)]
    negated = [part.part for part in node.parts if isinstance(part, nodes.Not)]
    held = read(plain[0], to) if plain else to.compute(op.NOT, read(negated.pop(0), to))
    for part in plain[1:]:
        held = to.compute(op.AND, held, read(part, to))
    for opposite in negated:
        held = to.compute(op.AND_NOT, held, read(opposite, to))
    return held


def _any(node: nodes.Or, to: Layout) -> int:
    held = read(node.parts[0], to)
    for part in node.parts[1:]:
        held = to.compute(op.OR, held, read(part, to))
    return held


# Comparison -> (opcode for whole numbers, opcode for REAL, whether the sides change places).
_COMPARE: Mapping[str, tuple[int, int, bool]] = {
    "<": (op.LESS, op.REAL_LESS, False),
    "<=": (op.LESS_EQUAL, op.REAL_LESS_EQUAL, False),
    ">": (op.LESS, op.REAL_LESS, True),
    ">=": (op.LESS_EQUAL, op.REAL_LESS_EQUAL, True),
    "=": (op.EQUAL, op.REAL_EQUAL, False),
    "<>": (op.DIFFERENT, op.REAL_DIFFERENT, False),
}


def _compare(node: nodes.Compare, to: Layout) -> int:
    whole, real, swapped = _COMPARE[node.op]
    sides = read(node.left, to), read(node.right, to)
    left, right = reversed(sides) if swapped else sides
    return to.compute(real if type_of(node.left) is Type.REAL else whole, left, right)


def _select(node: nodes.Select, to: Layout) -> int:
    what = op.REAL_SELECT if type_of(node.then) is Type.REAL else op.SELECT
    return to.compute(what, read(node.when, to), read(node.then, to), read(node.otherwise, to))


def _mux(node: nodes.Mux, to: Layout) -> int:
    kind = kind_of(type_of(node.entries[0]))
    index = read(node.index, to)
    constants = tuple(entry.value for entry in node.entries if isinstance(entry, nodes.Constant))
    if len(constants) == len(node.entries):
        first = to.row_of(kind, constants)
    else:
        sources = [read(entry, to) for entry in node.entries]
        values = [
            entry.value if isinstance(entry, nodes.Constant) else nothing(kind) for entry in node.entries
        ]
        first = to.block(kind, values)
        for place, (entry, source) in enumerate(zip(node.entries, sources, strict=True)):
            if not isinstance(entry, nodes.Constant):
                to.write(op.MOVE if kind == "ints" else op.REAL_MOVE, first + place, source)
    return to.compute(op.MUX if kind == "ints" else op.REAL_MUX, index, first, len(node.entries))


def _limit(node: nodes.Limit, to: Layout) -> int:
    value, low, high = read(node.value, to), read(node.low, to), read(node.high, to)
    return to.compute(op.LEAST, to.compute(op.GREATEST, value, low), high)


def _pair(what: int) -> Callable[[Any, Layout], int]:
    return lambda node, to: to.compute(what, read(node.left, to), read(node.right, to))


def _sum(real: int, whole: int) -> Callable[[Any, Layout], int]:
    return lambda node, to: _pair(real if type_of(node) is Type.REAL else whole)(node, to)


def _to_time(node: nodes.ToTime, to: Layout) -> int:
    return to.compute(op.TO_TIME, read(node.part, to), to.constant("ints", node.step_ms))


EXPRESSIONS: Mapping[type[Node], Callable[[Any, Layout], int]] = {
    nodes.Constant: lambda node, to: to.constant(kind_of(node.type), node.value),
    nodes.Read: lambda node, to: to.where[node.name].place,
    nodes.Previous: lambda node, to: to.last(node.name),
    nodes.Elapsed: lambda node, to: to.where[f"{node.timer}.ET"].place,
    nodes.Not: lambda node, to: to.compute(op.NOT, read(node.part, to)),
    nodes.And: _all,
    nodes.Or: _any,
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _sum(op.ADD, op.WHOLE_ADD),
    nodes.Subtract: _sum(op.SUBTRACT, op.WHOLE_SUBTRACT),
    nodes.Multiply: _pair(op.MULTIPLY),
    nodes.Least: _pair(op.LEAST),
    nodes.Greatest: _pair(op.GREATEST),
    nodes.Limit: _limit,
    nodes.SquareRoot: lambda node, to: to.compute(op.SQUARE_ROOT, read(node.part, to)),
    nodes.ToReal: lambda node, to: to.compute(op.TO_REAL, read(node.part, to)),
    nodes.ToTime: _to_time,
}


def _edge(what: int) -> Callable[[Any, Layout, str], None]:
    return lambda node, to, name: to.write(what, to.where[name].place, read(node.part, to), 0, to.clock())


def _latch(what: int) -> Callable[[Any, Layout, str], None]:
    return lambda node, to, name: to.write(
        what, to.where[name].place, read(node.set, to), read(node.reset, to)
    )


def _timer(what: int) -> Callable[[Any, Layout, str], None]:
    def write(node: nodes.Timer, to: Layout, name: str) -> None:
        elapsed = to.clock()
        to.write(what, to.where[name].place, read(node.part, to), read(node.preset, to), elapsed)
        to.where[f"{name}.ET"] = Register("ints", elapsed)

    return write


def _since(node: nodes.Since, to: Layout, name: str) -> None:
    to.write(op.SINCE, to.where[name].place, to.last(node.event), to.constant("ints", node.limit_ms))


BLOCKS: Mapping[type[Node], Callable[[Any, Layout, str], None]] = {
    nodes.Rise: _edge(op.RISE),
    nodes.Fall: _edge(op.FALL),
    nodes.SetDominant: _latch(op.SET_DOMINANT),
    nodes.ResetDominant: _latch(op.RESET_DOMINANT),
    nodes.Ton: _timer(op.TON),
    nodes.Tof: _timer(op.TOF),
    nodes.Tp: _timer(op.TP),
    nodes.Since: _since,
}
