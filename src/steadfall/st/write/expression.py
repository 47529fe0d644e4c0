"""Expressions of the network as structured text: a table keyed by node class.

Rule of this file: only operators and functions of IEC 61131-3; every operand that is more than a word stands
in brackets, so that nobody need know which operator binds tighter; a chain of one operator needs none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Protocol

from steadfall.logic import nodes
from steadfall.logic.nodes import BLOCKS, Node, Type
from steadfall.logic.types import type_of
from steadfall.st.write.literal import real_literal, time_literal
from steadfall.st.write.lookup import mux


class Words(Protocol):
    """How a unit of code spells its signals."""

    def now(self, name: str) -> str:
        """A signal's value in this scan."""

    def last(self, name: str) -> str:
        """A signal's value at the end of the last scan."""

    def elapsed(self, name: str) -> str:
        """The elapsed time of a timer."""

    def constant(self, node: nodes.Constant) -> str:
        """A constant: its name, or its value."""


def text(node: Node, words: Words) -> str:
    """The expression as text."""
    return EXPRESSIONS[type(node)](node, words)


def operand(node: Node, words: Words) -> str:
    """The expression as an operand: in brackets unless it is a word or a function."""
    found = text(node, words)
    return found if isinstance(node, _PLAIN) or _WORD.fullmatch(found) else f"({found})"


_WORD = re.compile(r"[A-Za-z0-9_.#%]+")


_PLAIN = (
    nodes.Read,
    nodes.Previous,
    nodes.Elapsed,
    nodes.Select,
    nodes.Least,
    nodes.Greatest,
    nodes.Limit,
    nodes.SquareRoot,
    nodes.ToTime,
)


def _chain(word: str) -> Callable[[Any, Words], str]:
    return lambda node, words: f" {word} ".join(operand(part, words) for part in _links(node))


def _links(node: nodes.And | nodes.Or) -> Iterator[Node]:
    """The parts without the brackets around more of the same operator, which would change nothing."""
    for part in node.parts:
        yield from _links(part) if type(part) is type(node) else (part,)


def _pair(word: str) -> Callable[[Any, Words], str]:
    return lambda node, words: f"{operand(node.left, words)} {word} {operand(node.right, words)}"


def _compare(node: nodes.Compare, words: Words) -> str:
    different = node.op == "<>" and type_of(node.left) is Type.BOOL
    return _pair("XOR" if different else node.op)(node, words)


def _call(function: str, *fields: str) -> Callable[[Any, Words], str]:
    def written(node: Node, words: Words) -> str:
        return f"{function}({', '.join(text(getattr(node, name), words) for name in fields)})"

    return written


def _square_root(node: nodes.SquareRoot, words: Words) -> str:
    # What SQRT makes of a value below 0 is left to the environment; there is none.
    return f"SQRT(MAX({text(node.part, words)}, 0.0))"


def _to_real(node: nodes.ToReal, words: Words) -> str:
    part = text(node.part, words)
    if type_of(node.part) is Type.INT:
        return f"INT_TO_REAL({part})"
    # What unit TIME_TO_REAL counts in is left to the environment; the ratio makes it milliseconds in any.
    return f"TIME_TO_REAL({part}) * (1000.0 / TIME_TO_REAL(T#1s))"


def _to_time(node: nodes.ToTime, words: Words) -> str:
    # REAL_TO_DINT rounds to the nearest, ties to even (IEC 60559).
    steps = f"REAL_TO_DINT({operand(node.part, words)} / {real_literal(float(node.step_ms))})"
    return f"MUL_TIME({time_literal(node.step_ms)}, {steps})"


def _mux(node: nodes.Mux, words: Words) -> str:
    plainer = mux(node)
    if plainer != node:
        return text(plainer, words)
    entries = ", ".join(text(entry, words) for entry in node.entries)
    return f"MUX(LIMIT(0, {text(node.index, words)}, {len(node.entries) - 1}), {entries})"


def _block(node: Node, _words: Words) -> str:
    raise TypeError(f"{type(node).__name__} is a statement of its own")


EXPRESSIONS: Mapping[type[Node], Callable[[Any, Words], str]] = {
    nodes.Constant: lambda node, words: words.constant(node),
    nodes.Read: lambda node, words: words.now(node.name),
    nodes.Previous: lambda node, words: words.last(node.name),
    nodes.Elapsed: lambda node, words: words.elapsed(node.timer),
    nodes.Not: lambda node, words: f"NOT {operand(node.part, words)}",
    nodes.And: _chain("AND"),
    nodes.Or: _chain("OR"),
    nodes.Compare: _compare,
    nodes.Select: _call("SEL", "when", "otherwise", "then"),
    nodes.Mux: _mux,
    nodes.Add: _pair("+"),
    nodes.Subtract: _pair("-"),
    nodes.Multiply: _pair("*"),
    nodes.Least: _call("MIN", "left", "right"),
    nodes.Greatest: _call("MAX", "left", "right"),
    nodes.Limit: _call("LIMIT", "low", "value", "high"),
    nodes.SquareRoot: _square_root,
    nodes.ToReal: _to_real,
    nodes.ToTime: _to_time,
    **dict.fromkeys(BLOCKS, _block),
}
