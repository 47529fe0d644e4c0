"""The rows of a network as one function of Python, for scans of which moments are known only between bounds.

Rule of this file: one row per node class. What is a plain value stands as an expression; where a time that
runs or a number between two ends may come in, or something is remembered, a function of `explain.meaning` is
called. Parts are worked out in the order, and only where, the interpreter works them out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence, Set
from typing import Any

from attrs import define, field

from steadfall.bench.judge.explain import meaning
from steadfall.logic import nodes
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import children

Made = Callable[[Any], dict[str, Any]]  # a way in; what it keeps of its rows out
_PYTHON = {"=": "==", "<>": "!=", "<": "<", "<=": "<=", ">": ">", ">=": ">="}
_ALWAYS_PLAIN = (nodes.Compare, nodes.Not, nodes.And, nodes.Or, nodes.Rise, nodes.Fall, nodes.SetDominant,
                 nodes.ResetDominant, nodes.Ton, nodes.Tof, nodes.Tp, nodes.Constant)  # fmt: skip


def function_of(
    rows: Sequence[Assignment], kept: Set[str], smoothed: Set[str]
) -> tuple[Made, tuple[str, ...]]:
    """One scan of some rows, in order, of which some are kept, and some filter; and which of those that are
    kept may be ranges.
    """
    places = {row.name: f"v{at}" for at, row in enumerate(rows)}
    writer = _Writer(places, _loose(rows, smoothed), smoothed)
    body = [f"    {writer.places[row.name]} = {writer.row(row)}" for row in rows]
    mine = [row.name for row in rows if row.name in kept]
    given = [f"    {place} = given[{name!r}]" for name, place in writer.given.items()]
    shown = ", ".join(f"{name!r}: {writer.kept(name)}" for name in mine)
    lines = ["def scan(way):", "    given, last, ages = way.values, way.last, way.ages", *given, *body]
    space = {**vars(meaning), "inf": math.inf, "nan": math.nan}
    exec("\n".join([*lines, f"    return {{{shown}}}"]), space)  # noqa: S102  (written here, of names as texts)
    return space["scan"], tuple(name for name in mine if name in writer.loose)


def plain_of(
    rows: Sequence[Assignment], names: Sequence[str], parts: Sequence[Node]
) -> tuple[Callable[[Mapping[str, Any]], tuple[Any, ...]], Callable[[Mapping[str, Any]], dict[str, Any]]]:
    """Functions of the inputs that alone decide some rows: some of them and more parts; or all by name."""
    writer = _Writer({row.name: f"v{at}" for at, row in enumerate(rows)}, frozenset())
    body = [f"    {writer.places[row.name]} = {writer.row(row)}" for row in rows]
    shown = [*map(writer.read, names), *map(writer.text, parts)]
    given = [f"    {place} = given[{name!r}]" for name, place in writer.given.items()]
    every = ", ".join(f"{name!r}: {place}" for name, place in writer.places.items())
    lines = ["def some(given):", *given, *body, f"    return ({''.join(f'{one}, ' for one in shown)})"]
    lines += ["def every(given):", *given, *body, f"    return {{{every}}}"]
    space = {**vars(meaning), "inf": math.inf, "nan": math.nan}
    exec("\n".join(lines), space)  # noqa: S102  (written here, of names as texts)
    return space["some"], space["every"]


def _loose(rows: Sequence[Assignment], smoothed: Set[str]) -> frozenset[str]:
    """The rows whose value may be a time that runs, what a filter makes, or a number between two ends."""
    kept = frozenset(row.name for row in rows if row.retained and row.type is Type.REAL) | smoothed
    loose = kept  # what is kept without power may be anything as a recording begins
    while True:
        more = kept | {row.name for row in rows if not _is_plain(row.node, loose)}
        if more == loose:
            return loose
        loose = more


def _is_plain(node: Node, loose: frozenset[str]) -> bool:
    if isinstance(node, _ALWAYS_PLAIN):
        return True
    if isinstance(node, nodes.Elapsed | nodes.Since):
        return False
    if isinstance(node, nodes.Read | nodes.Previous):
        return node.name not in loose
    return all(_is_plain(part, loose) for part in children(node))


@define
class _Writer:
    """What each row is called in the function; `loose`: rows that are no plain value, `smoothed`: of these,
    filters; `given`: what is read that no row makes.
    """

    places: Mapping[str, str]
    loose: frozenset[str]
    smoothed: Set[str] = frozenset()
    given: dict[str, str] = field(factory=dict)
    name: str = ""  # of the row that is written
    _indices: int = 0

    def row(self, row: Assignment) -> str:
        """The value of a row."""
        self.name = row.name
        return (
            self.call(meaning.smoothed, repr(row.name)) if row.name in self.smoothed else self.text(row.node)
        )

    def text(self, node: Node) -> str:
        """The value of a node."""
        return WRITTEN[type(node)](node, self)

    def is_plain(self, *parts: Node) -> bool:
        """Whether some nodes are plain values."""
        return all(_is_plain(part, self.loose) for part in parts)

    def read(self, name: str) -> str:
        """A signal in this scan."""
        if name in self.places:
            return self.places[name]
        return self.given.setdefault(name, f"g{len(self.given)}")

    def previous(self, name: str) -> str:
        """A signal in the scan before."""
        return self.call(meaning.smoothed_before, repr(name)) if name in self.smoothed else f"last[{name!r}]"

    def kept(self, name: str) -> str:
        """A row as the next scan finds it."""
        place = self.places[name]
        return f"way.range_of({place})" if name in self.loose else place

    def index(self) -> str:
        """A name of its own."""
        self._indices += 1
        return f"i{self._indices}"

    def call(self, function: Callable[..., Any], *given: object) -> str:
        """A function of the meaning."""
        return f"{function.__name__}(way, {', '.join(map(str, given))})"


def _both(plain: str, loose: Callable[..., Any]) -> Callable[[Any, _Writer], str]:
    """Of two parts: an expression, or a function where they are no plain values."""

    def made(node: Any, to: _Writer) -> str:
        left, right = to.text(node.left), to.text(node.right)
        if to.is_plain(node.left, node.right):
            return plain.format(left, right)
        return to.call(loose, left, right)

    return made


def _one(plain: str, loose: Callable[..., Any]) -> Callable[[Any, _Writer], str]:
    def made(node: Any, to: _Writer) -> str:
        part = to.text(node.part)
        return plain.format(part) if to.is_plain(node.part) else to.call(loose, part)

    return made


def _joined(word: str, none: str) -> Callable[[Any, _Writer], str]:
    def made(node: Any, to: _Writer) -> str:
        return f"({f' {word} '.join(map(to.text, node.parts))})" if node.parts else none

    return made


def _compare(node: nodes.Compare, to: _Writer) -> str:
    left, right = to.text(node.left), to.text(node.right)
    if to.is_plain(node.left, node.right):
        return f"({left} {_PYTHON[node.op]} {right})"
    return to.call(meaning.compared, repr(node.op), left, right)


def _select(node: nodes.Select, to: _Writer) -> str:
    return f"({to.text(node.then)} if {to.text(node.when)} else {to.text(node.otherwise)})"


def _mux(node: nodes.Mux, to: _Writer) -> str:
    """The first up to 0, the last past the end."""
    *entries, last = map(to.text, node.entries)
    if not entries:
        return last
    index = to.index()
    first = f"({index} := {to.text(node.index)})"
    rows = (f"{one} if {index if at else first} <= {at} else" for at, one in enumerate(entries))
    return f"({' '.join(rows)} {last})"


def _limit(node: nodes.Limit, to: _Writer) -> str:
    value, low, high = to.text(node.value), to.text(node.low), to.text(node.high)
    if to.is_plain(node.value, node.low, node.high):
        return f"lesser(greater({value}, {low}), {high})"
    return to.call(meaning.least, to.call(meaning.greatest, value, low), high)


def _edge(node: nodes.Rise | nodes.Fall, to: _Writer) -> str:
    return to.call(meaning.edge, repr(to.name), to.text(node.part), isinstance(node, nodes.Rise))


def _set_dominant(node: nodes.SetDominant, to: _Writer) -> str:
    return f"({to.text(node.set)} or (not {to.text(node.reset)} and last[{to.name!r}]))"


def _reset_dominant(node: nodes.ResetDominant, to: _Writer) -> str:
    return f"(not {to.text(node.reset)} and ({to.text(node.set)} or last[{to.name!r}]))"


def _timer(function: Callable[..., Any]) -> Callable[[Any, _Writer], str]:
    def made(node: Any, to: _Writer) -> str:
        part, preset = to.text(node.part), to.text(node.preset)
        if isinstance(node.preset, nodes.Constant):
            preset = repr(max(node.preset.value, 0))
        elif to.is_plain(node.preset):
            preset = f"max({preset}, 0)"
        else:
            preset = to.call(meaning.greatest, preset, 0)
        return to.call(function, repr(to.name), part, preset)

    return made


def _since(node: nodes.Since, to: _Writer) -> str:
    return to.call(meaning.since, repr(to.name), f"last[{node.event!r}]", node.limit_ms)


WRITTEN: Mapping[type[Node], Callable[[Any, _Writer], str]] = {
    nodes.Constant: lambda node, _: repr(node.value),
    nodes.Read: lambda node, to: to.read(node.name),
    nodes.Previous: lambda node, to: to.previous(node.name),
    nodes.Elapsed: lambda node, _: f"ages[{node.timer!r}]",
    nodes.Not: lambda node, to: f"(not {to.text(node.part)})",
    nodes.And: _joined("and", "True"),
    nodes.Or: _joined("or", "False"),
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _both("stopped({} + {})", meaning.added),
    nodes.Subtract: _both("stopped({} - {})", meaning.taken),
    nodes.Multiply: _both("({} * {})", meaning.multiplied),
    nodes.Least: _both("lesser({}, {})", meaning.least),
    nodes.Greatest: _both("greater({}, {})", meaning.greatest),
    nodes.Limit: _limit,
    nodes.SquareRoot: _one("root({})", meaning.rooted),
    nodes.ToReal: _one("float({})", meaning.real),
    nodes.ToTime: lambda node, to: (
        f"rounded({to.text(node.part)}, {node.step_ms})"
        if to.is_plain(node.part)
        else to.call(meaning.as_time, to.text(node.part), node.step_ms)
    ),
    nodes.Rise: _edge,
    nodes.Fall: _edge,
    nodes.SetDominant: _set_dominant,
    nodes.ResetDominant: _reset_dominant,
    nodes.Ton: _timer(meaning.ton),
    nodes.Tof: _timer(meaning.tof),
    nodes.Tp: _timer(meaning.tp),
    nodes.Since: _since,
}
