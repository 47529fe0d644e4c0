"""A signal's value as statements: an assignment, IF, CASE; never deeper in an expression than a person would
read.

Rule of this file: blocks are never called here, so that no call stands under a condition. A look-up by state
within an expression gets a variable of its own, set just before.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from steadfall.logic.nodes import Mux, Node, Read, Type
from steadfall.logic.types import rebuilt, type_of
from steadfall.st.write.branches import KEEP, Case, Give, If, Tree, by_state, case, tree
from steadfall.st.write.expression import Words, text

STEP = "    "


class Writer(Words, Protocol):
    """What a statement needs of the unit in which it stands."""

    stage: str  # the signal by which look-ups become cases

    def choice(self, wish: str, node: Mux, kind: Type) -> tuple[str, bool]:
        """The signal that holds a look-up within an expression, and whether it is new."""

    def label(self, state: int) -> str:
        """The name of a state."""


def statement(name: str, node: Node, unit: Writer) -> Iterator[list[str]]:
    """The statements that give a signal its value, each as its lines; look-ups within it come first."""
    hoisted: list[list[str]] = []
    plain = _plain(tree(node, name, unit.stage), name, unit, hoisted)
    yield from hoisted
    yield list(_lines(plain, unit.now(name), unit)) or [f"{unit.now(name)} := {unit.now(name)};"]


def _plain(found: Tree, name: str, unit: Writer, hoisted: list[list[str]]) -> Tree:
    """The same tree, with a variable for every look-up within an expression."""

    def bare(node: Node) -> Node:
        return _bare(node, name, unit, hoisted)

    if isinstance(found, Give):
        return Give(bare(found.node))
    if isinstance(found, If):
        then, other = (_plain(part, name, unit, hoisted) for part in (found.then, found.other))
        return If(bare(found.when), then, other)
    if isinstance(found, Case):
        arms = tuple((places, _plain(arm, name, unit, hoisted)) for places, arm in found.arms)
        return Case(found.index, arms, _plain(found.other, name, unit, hoisted))
    return found


def _bare(node: Node, name: str, unit: Writer, hoisted: list[list[str]]) -> Node:
    if isinstance(node, Mux) and by_state(node, unit.stage):
        kind = type_of(node)
        own, new = unit.choice(wish(name, node), node, kind)
        if new:
            hoisted.extend(_given(own, node, name, unit))
        return Read(own, kind, mark=node.mark)
    return rebuilt(node, lambda part: _bare(part, name, unit, hoisted))


def _given(own: str, node: Mux, name: str, unit: Writer) -> Iterator[list[str]]:
    inner: list[list[str]] = []
    plain = _plain(case(node, own, unit.stage), name, unit, inner)
    yield from inner
    yield list(_lines(plain, unit.now(own), unit))


def wish(name: str, node: Mux) -> str:
    """What to call a look-up: as its maker does, such as the time that a valve is to be open."""
    return node.label or f"{name}.{'next' if type_of(node) is Type.INT else 'choice'}"


def _lines(found: Tree, word: str, unit: Writer, pad: str = "") -> Iterator[str]:
    """A tree as lines; nothing where the signal stays as it was."""
    if isinstance(found, Give):
        yield f"{pad}{word} := {text(found.node, unit)};"
    elif isinstance(found, If):
        yield from _if(found, word, unit, pad)
    elif isinstance(found, Case):
        yield f"{pad}CASE {text(found.index, unit)} OF"
        for places, arm in found.arms:
            said = list(_lines(arm, word, unit, pad + 2 * STEP)) or [f"{word} := {word};"]
            labels = f"{pad}{STEP}{', '.join(unit.label(place) for place in places)}:"
            yield from [f"{labels} {said[0].strip()}"] if len(said) == 1 else [labels, *said]
        yield from _else(found.other, word, unit, pad)
        yield f"{pad}END_CASE;"


def _if(found: If, word: str, unit: Writer, pad: str) -> Iterator[str]:
    key: str = "IF"
    branch: Tree = found
    while isinstance(branch, If):
        yield f"{pad}{key} {text(branch.when, unit)} THEN"
        yield from _lines(branch.then, word, unit, pad + STEP)
        key, branch = "ELSIF", branch.other
    yield from _else(branch, word, unit, pad)
    yield f"{pad}END_IF;"


def _else(found: Tree, word: str, unit: Writer, pad: str) -> Iterator[str]:
    if found != KEEP:
        yield f"{pad}ELSE"
        yield from _lines(found, word, unit, pad + STEP)
