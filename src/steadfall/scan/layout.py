"""Registers while a program is written: where each signal lives, what is computed already, what must be kept.

Rule of this file: a signal keeps one register from scan to scan, so its last value is there until its own
assignment; where the last value is read below that, a copy is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.scan import opcodes as op

Computed = tuple[int, int, int, int]  # opcode, a, b, c


class Register(NamedTuple):
    """Where a signal lives: in which of the two arrays ("ints" or "reals"), and its place there."""

    kind: str
    place: int


class Layout:
    """Registers and instructions so far."""

    def __init__(self, network: Network) -> None:
        self.code: list[tuple[int, int, int, int, int]] = []
        self.cells: dict[str, list[Value]] = {"ints": [0], "reals": [0.0]}  # ints[0]: FIRST_SCAN_DONE
        self.where: dict[str, Register] = {}
        self.constants: dict[tuple[str, ...], int] = {}
        self.copies: dict[str, int] = {}
        self.known: dict[Computed, int] = {}  # the register that already holds it
        self.computed: dict[int, list[Computed]] = {}  # from each register
        self.done: set[str] = {row.name for row in network.inputs}
        initial = {row.name: row.initial for row in network.inputs}
        self.initial = initial | {row.name: row.initial for row in network.assignments}
        for name, type_ in network.types.items():
            kind = kind_of(type_)
            self.where[name] = Register(kind, self.cell(kind, self.initial[name]))

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

    def settle(self, name: str, found: int, length: int) -> None:
        """Give a signal the value that register `found` holds; `length` is how long the code was before."""
        kind, target = self.where[name]
        if (
            len(self.code) > length and self.code[-1][1] == found
        ):  # just computed: write it to the signal itself
            what, _, a, b, c = self.code[-1]
            self.code[-1] = (what, target, a, b, c)
            self._know((what, a, b, c), target)
        else:
            self.write(op.MOVE if kind == "ints" else op.REAL_MOVE, target, found)

    def close(self, name: str) -> None:
        """The signal has its new value from here on; what was computed from its last one is of no more
        use.
        """
        self.done.add(name)
        target = self.where[name].place
        for key in self.computed.pop(target, ()):
            self.known.pop(key, None)

    def keep_copies(self) -> None:
        """At the end of the scan, keep the values that the next one reads below their assignment."""
        for name, copy in self.copies.items():
            kind, place = self.where[name]
            self.write(op.MOVE if kind == "ints" else op.REAL_MOVE, copy, place)

    def compute(self, what: int, a: int, b: int = 0, c: int = 0) -> int:
        """The register that holds the outcome of an instruction; nothing is computed twice."""
        key = (what, a, b, c)
        if key not in self.known:
            kind = "reals" if what in op.REAL_TARGETS else "ints"
            self._know(key, self.cell(kind, nothing(kind)))
            self.write(what, self.known[key], a, b, c)
        return self.known[key]

    def _know(self, key: Computed, held: int) -> None:
        self.known[key] = held
        for place in key[1:]:
            self.computed.setdefault(place, []).append(key)

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


def nothing(kind: str) -> Value:
    """What a register of this kind holds until something is written to it."""
    return 0.0 if kind == "reals" else 0
