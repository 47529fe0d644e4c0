"""A scan as text for the checker, written from the network itself: nothing of the formula that the prover
asks of (`prove.system.step`), nor of its printer.

Rule of this file: a measured value is a real number. A clock is kept without an end where a certificate
speaks of it so (`endless`); what a signal reads of it ends at its limit all the same. A network that computes
with measured values cannot be written so.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, Node, Type, Value
from steadfall.logic.types import type_of, walk

SORTS = {Type.BOOL: "Bool", Type.INT: "Int", Type.TIME: "Int", Type.REAL: "Real"}


def can_write(network: Network) -> bool:
    """Whether nothing in a network computes with measured values."""
    every = (node for row in network.assignments for node in walk(row.node))
    return not any(type(node) in UNWRITTEN or _real_sum(node) for node in every)


def _real_sum(node: Node) -> bool:
    return isinstance(node, nodes.Add | nodes.Subtract) and type_of(node) is Type.REAL


class Text:
    """One scan of a network as text: the state before, and the terms of the state after."""

    def __init__(self, network: Network, longest_ms: int, endless: Collection[str]) -> None:
        self.network, self.longest, self.endless = network, longest_ms, endless
        self.state: dict[str, tuple[str, Value]] = {"started": ("Bool", False)}  # sort, and how it begins
        self.after: dict[str, str] = {"started": "true"}
        self.lasts: dict[str, str] = {}  # parts of the state that are a signal's last value: of which
        self.ages: dict[str, str] = {}  # those that are a clock: of which
        self.lines: list[str] = []
        self.rows = {row.name: row for row in network.assignments}
        self._remember()
        for given in network.inputs:
            self.lines.append(f"(declare-const {now(given.name)} {SORTS[given.type]})")
            if given.holds:
                low, high = map(literal, given.holds)
                self.lines.append(f"(assert (<= {low} {now(given.name)} {high}))")
        for row in network.assignments:
            block = BLOCKS.get(type(row.node))
            term = block(self, row.node, row.name) if block else self.of(row.node)
            self.define(now(row.name), row.type, term)
        self._hand_on()

    def define(self, name: str, kind: Type, term: str) -> str:
        """A name for a term."""
        self.lines.append(f"(define-fun {name} () {SORTS[kind]} {term})")
        return name

    def of(self, node: Node) -> str:
        """An expression."""
        return EXPRESSIONS[type(node)](self, node)

    def _remember(self) -> None:
        types = self.network.types
        first = {row.name: row.initial for row in self.network.inputs}
        first |= {row.name: row.initial for row in self.network.assignments}
        for row in self.network.assignments:
            node = row.node
            latch = isinstance(node, nodes.SetDominant | nodes.ResetDominant)
            asked = [one.name for one in walk(node) if isinstance(one, nodes.Previous)]
            for name in (*asked, *([row.name] if latch else [])):
                self.state[f"last:{name}"] = (SORTS[types[name]], first[name])
                self.lasts[f"last:{name}"] = name
            if isinstance(node, nodes.Since):
                self.state[f"age:{row.name}"] = ("Int", 0 if first[node.event] else row.initial)
                self.ages[f"age:{row.name}"] = row.name
            elif isinstance(node, nodes.Rise | nodes.Fall | nodes.Ton):
                self.state[f"state:{row.name}"] = ("Bool", False)
            elif isinstance(node, nodes.Tof | nodes.Tp):
                self.state[f"state:{row.name}"] = ("Int", 0)
            if isinstance(node, nodes.TIMERS):
                self.state[f"et:{row.name}"] = ("Int", 0)

    def _hand_on(self) -> None:
        self.after |= {key: now(name) for key, name in self.lasts.items()}
        for key, name in self.ages.items():
            node: Any = self.rows[name].node
            age = f"(+ |{key}| dt)" if name in self.endless else now(name)
            self.after[key] = f"(ite {now(node.event)} 0 {age})"

    def script(self, parts: Mapping[str, str], goals: Mapping[str, Sequence[str]]) -> str:
        """What a certificate asks. The parts, by name, hold before the first scan; a scan keeps them, all
        together; for each goal, its own exclude it.
        """
        inside = " ".join(f"(|{key}| {sort})" for key, (sort, _) in self.state.items())
        begin = " ".join(literal(value) for _, value in self.state.values())
        after = " ".join(self.after[key] for key in self.state)
        asked = [f"(not (all {begin}))", f"(and {' '.join(parts)} (not (all {after})))"]
        asked += [f"(and true {' '.join(own)} {now(goal)})" for goal, own in goals.items()]
        return "\n".join(
            [
                "(set-logic QF_LIRA)",
                *(f"(declare-const |{key}| {sort})" for key, (sort, _) in self.state.items()),
                "(declare-const dt Int)",
                f"(assert (ite started (<= 1 dt {self.longest}) (= dt 0)))",
                *self.lines,
                *(f"(define-fun {name} () Bool {term})" for name, term in parts.items()),
                f"(define-fun all ({inside}) Bool (and true {' '.join(parts.values())}))",
                *(f"(push 1) (assert {one}) (check-sat) (pop 1)" for one in asked),
                "",
            ]
        )


def now(name: str) -> str:
    """A signal in this scan."""
    return f"|now {name}|"


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
    """The lesser of two whole numbers."""
    return f"(ite (<= {a} {b}) {a} {b})"


def _compare(text: Text, node: nodes.Compare) -> str:
    left, right = text.of(node.left), text.of(node.right)
    return f"(not (= {left} {right}))" if node.op == "<>" else f"({node.op} {left} {right})"


def _mux(text: Text, node: nodes.Mux) -> str:
    index, found = text.of(node.index), text.of(node.entries[-1])
    for place in range(len(node.entries) - 2, -1, -1):
        found = f"(ite (<= {index} {place}) {text.of(node.entries[place])} {found})"
    return found


def _select(text: Text, node: nodes.Select) -> str:
    return f"(ite {text.of(node.when)} {text.of(node.then)} {text.of(node.otherwise)})"


def _sum(sign: str) -> Callable[[Text, Any], str]:
    def made(text: Text, node: Any) -> str:
        term = f"({sign} {text.of(node.left)} {text.of(node.right)})"
        return least(f"(ite (<= {literal(-LARGEST)} {term}) {term} {literal(-LARGEST)})", str(LARGEST))

    return made


def _joined(word: str) -> Callable[[Text, Any], str]:
    return lambda text, node: f"({word} {' '.join(map(text.of, node.parts))} {literal(word == 'and')})"


EXPRESSIONS: Mapping[type[Node], Callable[[Text, Any], str]] = {
    nodes.Constant: lambda _, node: literal(node.value),
    nodes.Read: lambda _, node: now(node.name),
    nodes.Previous: lambda _, node: f"|last:{node.name}|",
    nodes.Elapsed: lambda _, node: f"|ET {node.timer}|",
    nodes.Not: lambda text, node: f"(not {text.of(node.part)})",
    nodes.And: _joined("and"),
    nodes.Or: _joined("or"),
    nodes.Compare: _compare,
    nodes.Select: lambda text, node: (
        f"(ite {' '.join(map(text.of, (node.when, node.then, node.otherwise)))})"
    ),
    nodes.Mux: _mux,
    nodes.Add: _sum("+"),
    nodes.Subtract: _sum("-"),
}

UNWRITTEN: tuple[type[Node], ...] = (
    nodes.Multiply,
    nodes.Least,
    nodes.Greatest,
    nodes.Limit,
    nodes.ToReal,
    nodes.ToTime,
)


def _rise(text: Text, node: nodes.Rise, name: str) -> str:
    text.after[f"state:{name}"] = text.of(node.part)
    return f"(and {text.of(node.part)} (not |state:{name}|))"


def _fall(text: Text, node: nodes.Fall, name: str) -> str:
    text.after[f"state:{name}"] = f"(not {text.of(node.part)})"
    return f"(and (not {text.of(node.part)}) (not |state:{name}|))"


def _preset(text: Text, node: Any) -> str:
    preset = text.of(node.preset)
    return f"(ite (< {preset} 0) 0 {preset})"


def _timer(text: Text, name: str, et: str, state: str) -> None:
    text.after[f"et:{name}"] = text.define(f"|ET {name}|", Type.TIME, et)
    text.after[f"state:{name}"] = state


def _ton(text: Text, node: nodes.Ton, name: str) -> str:
    on, preset = text.of(node.part), _preset(text, node)
    counted = least(f"(+ |et:{name}| dt)", preset)
    _timer(text, name, f"(ite {on} (ite |state:{name}| {counted} 0) 0)", on)
    return f"(and {on} (>= |ET {name}| {preset}))"


def _tof(text: Text, node: nodes.Tof, name: str) -> str:
    on, preset, was = text.of(node.part), _preset(text, node), f"|state:{name}|"
    counted = f"(ite (= {was} 2) {least(f'(+ |et:{name}| dt)', preset)} |et:{name}|)"
    lasts = f"(and (or (= {was} 1) (= {was} 2)) (< {counted} {preset}))"
    over = f"(ite (or (= {was} 1) (= {was} 2)) (ite {lasts} 2 3) {was})"
    _timer(text, name, f"(ite {on} 0 {counted})", f"(ite {on} 1 {over})")
    return f"(or {on} {lasts})"


def _tp(text: Text, node: nodes.Tp, name: str) -> str:
    on, preset, was = text.of(node.part), _preset(text, node), f"|state:{name}|"
    counted = f"(ite (= {was} 2) {least(f'(+ |et:{name}| dt)', preset)} |et:{name}|)"
    begun = f"(or (= {was} 2) (and (= {was} 0) {on}))"
    lasts = f"(and {begun} (< {counted} {preset}))"
    ends = f"(and (not {lasts}) (or {begun} (= {was} 3)))"
    state = f"(ite {lasts} 2 (ite {ends} (ite {on} 3 0) {was}))"
    _timer(text, name, f"(ite (and {ends} (not {on})) 0 {counted})", state)
    return lasts


def _since(_: Text, node: nodes.Since, name: str) -> str:
    return least(f"(+ |age:{name}| dt)", str(node.limit_ms))


BLOCKS: Mapping[type[Node], Callable[[Text, Any, str], str]] = {
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: lambda text, node, name: (
        f"(or {text.of(node.set)} (and (not {text.of(node.reset)}) |last:{name}|))"
    ),
    nodes.ResetDominant: lambda text, node, name: (
        f"(and (not {text.of(node.reset)}) (or {text.of(node.set)} |last:{name}|))"
    ),
    nodes.Ton: _ton,
    nodes.Tof: _tof,
    nodes.Tp: _tp,
    nodes.Since: _since,
}
