"""A network as instructions for the fast scan: registers laid out, expressions flattened, blocks given their memory.

Rule of this file: a table keyed by node class, as in the interpreter. A signal keeps one register from scan to scan,
so its last value is there until its own assignment; where the last value is read below that, a copy is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from attrs import field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import ZERO, Assignment, Network
from steadfall.logic.nodes import Node, Type, Value
from steadfall.logic.types import type_of
from steadfall.scan import opcodes as op


class Register(NamedTuple):
    """Where a signal lives: in which of the two arrays ("ints" or "reals"), and its place there."""

    kind: str
    place: int


class Registers(NamedTuple):
    """The working memory of one run; `scan_once` changes it."""

    ints: Any
    reals: Any


@frozen(eq=False)
class Program:
    """Instructions and the registers' initial values; `where` tells the register of every signal and timer ET."""

    code: Any  # uint32[n, 5]
    ints: Any  # int64[]
    reals: Any  # float64[]
    where: Mapping[str, Register]
    types: Mapping[str, Type] = field(repr=False)

    def register(self, name: str) -> Register:
        """The register of a signal, or of a timer's elapsed time as `NAME.ET`."""
        return self.where[name]


def fresh(program: Program) -> Registers:
    """Registers as they are before the first scan."""
    return Registers(program.ints.copy(), program.reals.copy())


def compile_network(network: Network) -> Program:
    """The instructions that do in each scan what the network says."""
    return _Compiler(network).program()


class _Compiler:
    """Lays out registers and writes instructions, one assignment after the other."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.code: list[tuple[int, int, int, int, int]] = []
        self.cells: dict[str, list[Value]] = {"ints": [0], "reals": [0.0]}  # ints[0]: FIRST_SCAN_DONE
        self.where: dict[str, Register] = {}
        self.types = network.types
        self.constants: dict[tuple[str, ...], int] = {}
        self.copies: dict[str, int] = {}
        self.known: dict[tuple[int, int, int, int], int] = {}  # (opcode, a, b, c) -> register that already holds it
        self.done: set[str] = {row.name for row in network.inputs}
        initial = {row.name: ZERO[row.type] for row in network.inputs}
        self.initial = initial | {row.name: row.initial for row in network.assignments}

    def program(self) -> Program:
        for name, value in self.initial.items():
            kind = kind_of(self.types[name])
            self.where[name] = Register(kind, self.cell(kind, value))
        for row in self.network.assignments:
            self.assign(row)
        for name, copy in self.copies.items():
            self.write(op.MOVE if self.where[name].kind == "ints" else op.REAL_MOVE, copy, self.where[name].place)
        code = np.array(self.code, dtype=np.uint32).reshape(-1, 5)
        ints, reals = np.array(self.cells["ints"], dtype=np.int64), np.array(self.cells["reals"], dtype=np.float64)
        return Program(code, ints, reals, dict(self.where), self.types)

    def assign(self, row: Assignment) -> None:
        """The instructions of one assignment; its signal has its new value from here on."""
        kind, target = self.where[row.name]
        if row.is_block:
            BLOCKS[type(row.node)](row.node, self, row.name)
        else:
            length = len(self.code)
            found = self.read(row.node)
            if len(self.code) > length and self.code[-1][1] == found:  # just computed: write it to the signal itself
                what, _, a, b, c = self.code[-1]
                self.code[-1] = (what, target, a, b, c)
                self.known[what, a, b, c] = target
            else:
                self.write(op.MOVE if kind == "ints" else op.REAL_MOVE, target, found)
        self.done.add(row.name)
        self.known = {key: held for key, held in self.known.items() if target not in key[1:]}

    def cell(self, kind: str, value: Value) -> int:
        """A new register with the value that it has before the first scan."""
        self.cells[kind].append(value)
        return len(self.cells[kind]) - 1

    def block(self, kind: str, values: Sequence[Value]) -> int:
        """The first of so many new neighbouring registers."""
        return min(self.cell(kind, value) for value in values)

    def write(self, what: int, target: int, a: int = 0, b: int = 0, c: int = 0) -> None:
        """One more instruction."""
        self.code.append((what, target, a, b, c))

    def read(self, node: Node) -> int:
        """The register that holds a node's value at this point of the scan."""
        return EXPRESSIONS[type(node)](node, self)

    def compute(self, what: int, a: int, b: int = 0, c: int = 0) -> int:
        """The register that holds the outcome of an instruction; nothing is computed twice."""
        key = (what, a, b, c)
        if key not in self.known:
            kind = "reals" if what in op.REAL_TARGETS else "ints"
            self.known[key] = self.cell(kind, _nothing(kind))
            self.write(what, self.known[key], a, b, c)
        return self.known[key]

    def constant(self, kind: str, value: Value) -> int:
        """The register of a constant; each is kept once."""
        return self.row_of(kind, (value,))

    def row_of(self, kind: str, values: tuple[Value, ...]) -> int:
        """The first of neighbouring registers with these constants."""
        key = (kind, *(float(value).hex() if kind == "reals" else str(int(value)) for value in values))
        if key not in self.constants:
            self.constants[key] = self.block(kind, values)
        return self.constants[key]

    def last(self, name: str) -> int:
        """The register with a signal's value of the last scan."""
        if name not in self.done:
            return self.where[name].place
        if name not in self.copies:
            self.copies[name] = self.cell(self.where[name].kind, self.initial[name])
        return self.copies[name]

    def clock(self) -> int:
        """The first of a block's two registers: elapsed time, state."""
        elapsed = self.cell("ints", 0)
        self.cell("ints", 0)
        return elapsed


def kind_of(type_: Type) -> str:
    """Which of the two arrays a type lives in."""
    return "reals" if type_ is Type.REAL else "ints"


def _nothing(kind: str) -> Value:
    return 0.0 if kind == "reals" else 0


def _all(node: nodes.And, to: _Compiler) -> int:
    plain = [part for part in node.parts if not isinstance(part, nodes.Not)]
    negated = [part.part for part in node.parts if isinstance(part, nodes.Not)]
    held = to.read(plain[0]) if plain else to.compute(op.NOT, to.read(negated.pop(0)))
    for part in plain[1:]:
        held = to.compute(op.AND, held, to.read(part))
    for opposite in negated:
        held = to.compute(op.AND_NOT, held, to.read(opposite))
    return held


def _any(node: nodes.Or, to: _Compiler) -> int:
    held = to.read(node.parts[0])
    for part in node.parts[1:]:
        held = to.compute(op.OR, held, to.read(part))
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


def _compare(node: nodes.Compare, to: _Compiler) -> int:
    whole, real, swapped = _COMPARE[node.op]
    sides = to.read(node.left), to.read(node.right)
    left, right = reversed(sides) if swapped else sides
    return to.compute(real if type_of(node.left) is Type.REAL else whole, left, right)


def _select(node: nodes.Select, to: _Compiler) -> int:
    what = op.REAL_SELECT if type_of(node.then) is Type.REAL else op.SELECT
    return to.compute(what, to.read(node.when), to.read(node.then), to.read(node.otherwise))


def _mux(node: nodes.Mux, to: _Compiler) -> int:
    kind = kind_of(type_of(node.entries[0]))
    index = to.read(node.index)
    constants = tuple(entry.value for entry in node.entries if isinstance(entry, nodes.Constant))
    if len(constants) == len(node.entries):
        first = to.row_of(kind, constants)
    else:
        sources = [to.read(entry) for entry in node.entries]
        values = [entry.value if isinstance(entry, nodes.Constant) else _nothing(kind) for entry in node.entries]
        first = to.block(kind, values)
        for place, (entry, source) in enumerate(zip(node.entries, sources, strict=True)):
            if not isinstance(entry, nodes.Constant):
                to.write(op.MOVE if kind == "ints" else op.REAL_MOVE, first + place, source)
    return to.compute(op.MUX if kind == "ints" else op.REAL_MUX, index, first, len(node.entries))


def _limit(node: nodes.Limit, to: _Compiler) -> int:
    value, low, high = to.read(node.value), to.read(node.low), to.read(node.high)
    return to.compute(op.LEAST, to.compute(op.GREATEST, value, low), high)


def _pair(what: int) -> Callable[[Any, _Compiler], int]:
    return lambda node, to: to.compute(what, to.read(node.left), to.read(node.right))


def _to_time(node: nodes.ToTime, to: _Compiler) -> int:
    return to.compute(op.TO_TIME, to.read(node.part), to.constant("ints", node.step_ms))


EXPRESSIONS: Mapping[type[Node], Callable[[Any, _Compiler], int]] = {
    nodes.Constant: lambda node, to: to.constant(kind_of(node.type), node.value),
    nodes.Read: lambda node, to: to.where[node.name].place,
    nodes.Previous: lambda node, to: to.last(node.name),
    nodes.Elapsed: lambda node, to: to.where[f"{node.timer}.ET"].place,
    nodes.Not: lambda node, to: to.compute(op.NOT, to.read(node.part)),
    nodes.And: _all,
    nodes.Or: _any,
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _pair(op.ADD),
    nodes.Subtract: _pair(op.SUBTRACT),
    nodes.Multiply: _pair(op.MULTIPLY),
    nodes.Least: _pair(op.LEAST),
    nodes.Greatest: _pair(op.GREATEST),
    nodes.Limit: _limit,
    nodes.ToReal: lambda node, to: to.compute(op.TO_REAL, to.read(node.part)),
    nodes.ToTime: _to_time,
}


def _edge(what: int) -> Callable[[Any, _Compiler, str], None]:
    return lambda node, to, name: to.write(what, to.where[name].place, to.read(node.part), 0, to.clock())


def _latch(what: int) -> Callable[[Any, _Compiler, str], None]:
    return lambda node, to, name: to.write(what, to.where[name].place, to.read(node.set), to.read(node.reset))


def _timer(what: int) -> Callable[[Any, _Compiler, str], None]:
    def write(node: nodes.Timer, to: _Compiler, name: str) -> None:
        elapsed = to.clock()
        to.write(what, to.where[name].place, to.read(node.part), to.read(node.preset), elapsed)
        to.where[f"{name}.ET"] = Register("ints", elapsed)

    return write


def _since(node: nodes.Since, to: _Compiler, name: str) -> None:
    to.write(op.SINCE, to.where[name].place, to.last(node.event), to.constant("ints", node.limit_ms))


BLOCKS: Mapping[type[Node], Callable[[Any, _Compiler, str], None]] = {
    nodes.Rise: _edge(op.RISE),
    nodes.Fall: _edge(op.FALL),
    nodes.SetDominant: _latch(op.SET_DOMINANT),
    nodes.ResetDominant: _latch(op.RESET_DOMINANT),
    nodes.Ton: _timer(op.TON),
    nodes.Tof: _timer(op.TOF),
    nodes.Tp: _timer(op.TP),
    nodes.Since: _since,
}
