"""Numbers of a plan put into its text at their places; every other letter stays as it is.

Rule of this file: a place is found in the tree of the text, a number within a condition by its words. What is
written is read again and must be what was meant, so that a plan is never changed but in these numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from attrs import frozen

from steadfall.plan.keys.parameter import Parameter
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.tree import Items, Node, Scalar, Table, read_tree
from steadfall.plan.text.words import Word, words
from steadfall.source import AskError
from steadfall.units import exact, like_clock, value_in, written

NOT_AT_PLACE = "{name} does not stand in one piece in the text; put {value} there by hand"
CLOSE = 1e-9


@frozen
class Cut:
    """A piece of the text and what it becomes: line from 0, columns from 0."""

    line: int
    start: int
    end: int
    becomes: str


def with_numbers(plan: Plan, values: Mapping[Parameter, float]) -> str:
    """The plan's text with other numbers (SI) in their places.

    Raises AskError where a number does not stand in the text as it is, PlanError where the new text is no
    sound plan.
    """
    root = read_tree(plan.text, plan.at.own.file, Problems())
    text = _cut(plan.text, [_cut_of(root, number, value) for number, value in values.items()])
    again = read_text(text, plan.at.own.file)
    for number, value in values.items():
        if not math.isclose(number.get(again), value, rel_tol=CLOSE, abs_tol=CLOSE):
            raise _not_there(number, value)
    return text


def _cut(text: str, cuts: Iterable[Cut]) -> str:
    """The text with its pieces changed, the last first, so that places hold."""
    lines = text.split("\n")
    for one in sorted(cuts, key=lambda cut: (cut.line, cut.start), reverse=True):
        line = lines[one.line]
        lines[one.line] = line[: one.start] + one.becomes + line[one.end :]
    return "\n".join(lines)


def _cut_of(root: Node, number: Parameter, value: float) -> Cut:
    node, rest = _walk(root, number.place)
    if not isinstance(node, Scalar) or not node.inline:
        raise _not_there(number, value)
    word = _word(node, rest)
    if word is None:
        raise _not_there(number, value)
    line, column = word.mark.line - 1, word.mark.column - 1
    return Cut(line, column, column + len(word.text), _said(word.text, number, value))


def _walk(node: Node, place: tuple[str, ...]) -> tuple[Node, tuple[str, ...]]:
    """As far as the tree goes along a place, and what is left of it."""
    for k, name in enumerate(place):
        further = _child(node, name)
        if further is None:
            return node, place[k:]
        node = further
    return node, ()


def _child(node: Node, name: str) -> Node | None:
    if isinstance(node, Table):
        return next((one.value for one in node.entries if one.key.text == name), None)
    if isinstance(node, Items):
        named = (one for one in node.nodes if isinstance(one, Table) and _name(one) == name)
        return next(named, None)
    return None


def _name(table: Table) -> str:
    """What a thing of a list calls itself."""
    own = _child(table, "name")
    return own.text if isinstance(own, Scalar) else ""


def _word(node: Scalar, rest: tuple[str, ...]) -> Word | None:
    """The number: the whole text, or within a condition the one that follows a word, so often."""
    if not rest:
        return Word("quantity", node.text, node.mark)
    wanted, _, nth = rest[0].partition(" ")
    found = words(node)
    after = [k for k, word in enumerate(found) if word.text == wanted]
    if len(rest) > 1 or len(after) < int(nth or 1):
        return None
    place = after[int(nth or 1) - 1] + 1
    if found[place].kind == "op":
        place += 1
    return found[place] if found[place].kind == "quantity" else None


def _said(old: str, number: Parameter, value: float) -> str:
    """The value, in the unit that stands there."""
    dimension = number.span.dimension
    if dimension == "time" and like_clock(old):
        return time(round(1000 * value))
    spelling = exact(old, (dimension,))[2]
    if dimension == "time" and not _short(value_in(value, spelling, dimension)):
        return time(round(1000 * value))
    return written(value, dimension, spelling)


def _short(number: float) -> bool:
    """Whether a number reads well: it has at most two decimals."""
    return math.isclose(100 * number, round(100 * number), abs_tol=1e-6)


def _not_there(number: Parameter, value: float) -> AskError:
    return AskError(NOT_AT_PLACE.format(name=number.name, value=written(value, number.span.dimension)))
