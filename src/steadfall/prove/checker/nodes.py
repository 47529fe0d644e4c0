"""Expressions as text for the checker.

Rule of this file: a measured value is a real number. What a controller rounds (sums and products of measured
values, a share as a time) may be anything between its ends; what it does not round is as it is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, Node, Type, Value
from steadfall.logic.types import type_of
from steadfall.prove.checker.spans import ANY, Span, Spans
from steadfall.prove.system.kept import last

SORTS = {Type.BOOL: "Bool", Type.INT: "Int", Type.TIME: "Int", Type.REAL: "Real"}


class Page:
    """The text of one scan, as far as it is written."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.lines: list[str] = []
        self.after: dict[str, str] = {}  # a part of the state -> what the scan makes of it
        self.rows = {row.name: row for row in network.assignments}
        self.spans = Spans(self.rows)
        self._made: dict[tuple[Node, int], str] = {}

    def own(self, name: str) -> str:
        """A name of this scan alone."""
        return f"|{name}|"

    def now(self, name: str) -> str:
        """A signal in this scan."""
        return self.own(f"now {name}")

    def define(self, name: str, kind: Type, term: str) -> str:
        """A name for a term."""
        self.lines.append(f"(define-fun {name} () {SORTS[kind]} {term})")
        return name

    def of(self, node: Node) -> str:
        """An expression."""
        return EXPRESSIONS[type(node)](self, node)

    def unknown(self, node: Node, kind: Type, ends: Span, step: int = 1) -> str:
        """What a node gives where no more is known of it than its ends; the same wherever it stands."""
        of = node, step if kind is Type.INT else 0
        if of not in self._made:
            name = self._made[of] = self.own(f"made {len(self._made)}")
            self.lines.append(f"(declare-const {name} {SORTS[kind]})")
            low, high = (literal(end) if math.isfinite(end) else name for end in ends)
            self.lines.append(f"(assert (<= {low} {name} {high}))")
        return self._made[of]


def literal(value: Value) -> str:
    """A constant."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value) if value >= 0 else f"(- {-value})"
    exact = Fraction(value)
    term = f"(/ {abs(exact.numerator)}.0 {exact.denominator}.0)"
    return term if exact >= 0 else f"(- {term})"


def least(a: str, b: str) -> str:
    """The lesser of two numbers."""
    return f"(ite (< {a} {b}) {a} {b})"


def greatest(a: str, b: str) -> str:
    """The greater of two numbers."""
    return f"(ite (> {a} {b}) {a} {b})"


def _constant(page: Page, node: nodes.Constant) -> str:
    if isinstance(node.value, float) and not math.isfinite(node.value):
        return page.unknown(node, Type.REAL, ANY)
    return literal(float(node.value) if node.type is Type.REAL else node.value)


def _compare(page: Page, node: nodes.Compare) -> str:
    left, right = page.of(node.left), page.of(node.right)
    return f"(not (= {left} {right}))" if node.op == "<>" else f"({node.op} {left} {right})"


def _select(page: Page, node: nodes.Select, of: Callable[[Node], str]) -> str:
    return f"(ite {page.of(node.when)} {of(node.then)} {of(node.otherwise)})"


def _mux(page: Page, node: nodes.Mux, of: Callable[[Node], str]) -> str:
    """Entries in a row that say the same are one choice."""
    index, entries = page.of(node.index), [of(entry) for entry in node.entries]
    found = entries[-1]
    for place in range(len(entries) - 2, -1, -1):
        if entries[place] != entries[place + 1]:
            found = f"(ite (<= {index} {place}) {entries[place]} {found})"
    return found


def _sum(sign: str) -> Callable[[Page, Any], str]:
    def made(page: Page, node: Any) -> str:
        if type_of(node) is Type.REAL:
            return _rounded(page, node)
        term = f"({sign} {page.of(node.left)} {page.of(node.right)})"
        return least(greatest(term, literal(-LARGEST)), literal(LARGEST))

    return made


def _rounded(page: Page, node: Node) -> str:
    low, high = ends = page.spans.of(node)
    return literal(low) if low == high and math.isfinite(low) else page.unknown(node, Type.REAL, ends)


def _joined(word: str) -> Callable[[Page, Any], str]:
    return lambda page, node: f"({word} {' '.join(map(page.of, node.parts))} {literal(word == 'and')})"


def _to_time(page: Page, node: nodes.ToTime) -> str:
    return _time_of(page, node.part, node.step_ms)


def _time_of(page: Page, real: Node, step: int) -> str:
    """A REAL as a time; of a choice, the choice of times."""

    def of(part: Node) -> str:
        return _time_of(page, part, step)

    row = page.rows.get(real.name) if isinstance(real, nodes.Read) else None
    if row is not None and not row.is_block:
        return of(row.node)
    if isinstance(real, nodes.Select):
        return _select(page, real, of)
    if isinstance(real, nodes.Mux):
        return _mux(page, real, of)
    low, high = (min(max(end / step, -LARGEST), LARGEST) for end in page.spans.of(real))
    if low == high:
        return literal(round(low) * step)
    ends = math.floor(low) if low > -LARGEST else -math.inf, math.ceil(high) if high < LARGEST else math.inf
    return f"(* {step} {page.unknown(real, Type.INT, ends, step)})"


EXPRESSIONS: Mapping[type[Node], Callable[[Page, Any], str]] = {
    nodes.Constant: _constant,
    nodes.Read: lambda page, node: page.now(node.name),
    nodes.Previous: lambda page, node: page.own(last(node.name)),
    nodes.Elapsed: lambda page, node: page.own(f"ET {node.timer}"),
    nodes.Not: lambda page, node: f"(not {page.of(node.part)})",
    nodes.And: _joined("and"),
    nodes.Or: _joined("or"),
    nodes.Compare: _compare,
    nodes.Select: lambda page, node: _select(page, node, page.of),
    nodes.Mux: lambda page, node: _mux(page, node, page.of),
    nodes.Add: _sum("+"),
    nodes.Subtract: _sum("-"),
    nodes.Multiply: _rounded,
    nodes.Least: lambda page, node: least(page.of(node.left), page.of(node.right)),
    nodes.Greatest: lambda page, node: greatest(page.of(node.left), page.of(node.right)),
    nodes.Limit: lambda page, node: least(
        greatest(page.of(node.value), page.of(node.low)), page.of(node.high)
    ),
    nodes.SquareRoot: _rounded,
    nodes.ToReal: lambda page, node: f"(to_real {page.of(node.part)})",
    nodes.ToTime: _to_time,
}
