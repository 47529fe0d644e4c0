"""Measured values as the proof sees them: where a value lies among the constants that it is compared with.

Rule of this file: a REAL is a constant, a choice between two REALs, or a *reading*: a value of which only its
place among constants is known, each place a free true/false input that keeps the order (what is below 95 is
below 140). Arithmetic gives a new reading that may be anything within its known ends; so nothing that can
happen is left out, and what cannot happen may be in. A value that is not a number is not considered.
"""

from __future__ import annotations

import math
from itertools import pairwise

from attrs import field, frozen

from steadfall.comparisons import HOLDS, MIRROR
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space

INFINITE = math.inf


@frozen
class Fixed:
    """A number."""

    value: float


@frozen
class Reading:
    """A value of which only its place among constants is known: an input, or the outcome of arithmetic."""

    key: str
    low: float = -INFINITE
    high: float = INFINITE


@frozen(eq=False)
class Choice:
    """One value or the other."""

    when: terms.BoolRef
    then: Real
    otherwise: Real


Real = Fixed | Reading | Choice


def of_input(name: str) -> str:
    """The key of the reading of an input."""
    return f"input!{name}"


def ends(real: Real) -> tuple[float, float]:
    """The least and the greatest that a value can be."""
    if isinstance(real, Fixed):
        return real.value, real.value
    if isinstance(real, Reading):
        return real.low, real.high
    (a, b), (c, d) = ends(real.then), ends(real.otherwise)
    return min(a, c), max(b, d)


@frozen(eq=False)
class Places:
    """The places of readings among constants, as true/false inputs of the model; filled while the model is
    made.
    """

    space: Space
    below: dict[tuple[str, float], terms.BoolRef] = field(factory=dict)  # value < constant
    upto: dict[tuple[str, float], terms.BoolRef] = field(factory=dict)  # value <= constant
    pairs: dict[tuple[str, str, str], terms.BoolRef] = field(factory=dict)  # two readings compared: free
    spans: dict[str, tuple[float, float]] = field(factory=dict)

    def compare(self, op: str, left: Real, right: Real) -> terms.BoolRef:
        """Whether the comparison holds."""
        for side, other, turned in ((left, right, False), (right, left, True)):
            if isinstance(side, Choice):
                parts = [
                    self.compare(op, *((other, part) if turned else (part, other)))
                    for part in (side.then, side.otherwise)
                ]
                return terms.If(side.when, *parts)
        if isinstance(left, Fixed) and isinstance(right, Fixed):
            return self.space.value(HOLDS[op](left.value, right.value))
        if isinstance(left, Fixed) and isinstance(right, Reading):
            return self._placed(MIRROR[op], right, left.value)
        if isinstance(left, Reading) and isinstance(right, Fixed):
            return self._placed(op, left, right.value)
        assert isinstance(left, Reading)  # noqa: S101 - the cases above leave nothing else
        assert isinstance(right, Reading)  # noqa: S101
        if left.key == right.key:
            return self.space.value(HOLDS[op](0.0, 0.0))
        key = (op, left.key, right.key)
        return self.pairs.setdefault(key, self.space.boolean("pair!" + "!".join(key)))

    def _placed(self, op: str, reading: Reading, value: float) -> terms.BoolRef:
        if math.isnan(value):
            return self.space.value(op == "<>")
        below, upto = self._below(reading, value), self._upto(reading, value)
        table = {
            "<": below,
            "<=": upto,
            ">": terms.Not(upto),
            ">=": terms.Not(below),
            "=": terms.And(upto, terms.Not(below)),
            "<>": terms.Or(below, terms.Not(upto)),
        }
        return table[op]

    def _below(self, reading: Reading, value: float) -> terms.BoolRef:
        self.spans[reading.key] = (reading.low, reading.high)
        return self.below.setdefault(
            (reading.key, value), self.space.boolean(f"below!{reading.key}!{value!r}")
        )

    def _upto(self, reading: Reading, value: float) -> terms.BoolRef:
        self.spans[reading.key] = (reading.low, reading.high)
        return self.upto.setdefault((reading.key, value), self.space.boolean(f"upto!{reading.key}!{value!r}"))

    def order(self) -> list[terms.BoolRef]:
        """What holds between the places of one reading."""
        rows: list[terms.BoolRef] = []
        for key, (low, high) in self.spans.items():
            constants = sorted(value for name, value in self.upto if name == key)
            chain: list[terms.BoolRef] = []
            for value in constants:
                below, upto = self.below[key, value], self.upto[key, value]
                chain += [below, upto]
                rows += [terms.Not(below)] if value <= low else []
                rows += [terms.Not(upto)] if value < low else []
                rows += [upto] if value >= high else []
                rows += [below] if value > high else []
            rows += [terms.Implies(a, b) for a, b in pairwise(chain)]
        return rows

    def variables(self) -> list[terms.BoolRef]:
        """Every true/false input that stands for a place."""
        return [*self.below.values(), *self.upto.values(), *self.pairs.values()]

    def value(self, key: str, holds: object) -> float:
        """A number that lies where `holds` says; `holds(variable)` answers for a place."""
        before: float | None = None
        for value in sorted(number for name, number in self.upto if name == key):
            if holds(self.below[key, value]):  # type: ignore[operator]
                return value - 1.0 if before is None else _between(before, value)
            if holds(self.upto[key, value]):  # type: ignore[operator]
                return value
            before = value
        return 0.0 if before is None else before + 1.0


def _between(low: float, high: float) -> float:
    middle = (low + high) / 2
    return round(middle, 3) if low < round(middle, 3) < high else middle
