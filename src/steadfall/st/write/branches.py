"""What a signal's node says as a person would write it: branches and cases that end in plain values.

Rule of this file: the same value in every scan. Every way through a tree gives the signal a value once and
last, so what its conditions read of the signal itself is still the last scan's; a way that would give it its
own last value gives it nothing.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.comparisons import NEGATION
from steadfall.logic.forms import FALSE, TRUE, all_of, any_of, opposite
from steadfall.logic.nodes import And, Compare, Mux, Node, Or, Previous, Read, Select, Type
from steadfall.logic.types import type_of
from steadfall.st.write.lookup import grouped


@frozen
class Keep:
    """The signal stays as it was."""


@frozen
class Give:
    """The signal gets a value."""

    node: Node


@frozen
class If:
    """One or the other."""

    when: Node
    then: Tree
    other: Tree


@frozen
class Case:
    """By the state of the sequence; what is not named has the other."""

    index: Node
    arms: tuple[tuple[tuple[int, ...], Tree], ...]
    other: Tree


Tree = Keep | Give | If | Case
KEEP = Keep()


def tree(node: Node, name: str, stage: str) -> Tree:
    """The branches by which a signal of this name gets a node's value; `stage` is the sequence's.

    The state after each state stays an expression: it is asked for on several ways.
    """
    if isinstance(node, Previous) and node.name == name:
        return KEEP
    if isinstance(node, Select):
        return _if(node.when, tree(node.then, name, stage), tree(node.otherwise, name, stage))
    if isinstance(node, Mux) and by_state(node, stage) and type_of(node) is not Type.INT:
        return case(node, name, stage)
    if isinstance(node, And | Or):
        return _guarded(node, name, stage)
    return Give(node)


def by_state(node: Mux, stage: str) -> bool:
    """Whether a look-up is by the state of a sequence, and says more than in which states something is so.

    A state is always one of those that have a place, so that a case need not say what is so below and above.
    """
    found = {entry for entry, _ in grouped(node.entries)}
    by_stage = isinstance(node.index, Read | Previous) and node.index.name == stage
    return by_stage and len(found) > 1 and not found <= {TRUE, FALSE}


def _if(when: Node, then: Tree, other: Tree) -> Tree:
    if then == other:
        return then
    if then == KEEP:
        when, then, other = contrary(when), other, then
    if other == KEEP and isinstance(then, If) and then.other == KEEP:
        return If(all_of((when, then.when)), then.then, KEEP)
    if isinstance(then, If | Case) and isinstance(other, Give):
        return If(contrary(when), other, then)  # the short way first, the rest in one chain
    return If(when, then, other)


def contrary(node: Node) -> Node:
    """The opposite, with the `not` as far inside as it goes."""
    if isinstance(node, Or):
        return all_of(contrary(part) for part in node.parts)
    if isinstance(node, And):
        return any_of(contrary(part) for part in node.parts)
    if isinstance(node, Compare) and type_of(node.left) in (Type.INT, Type.TIME):
        return Compare(NEGATION[node.op], node.left, node.right)  # not of REAL: it may be no number
    return opposite(node)


def case(node: Mux, name: str, stage: str) -> Tree:
    """A look-up by state; the states that are not named have what most have, or false."""
    arms = [(tuple(places), tree(entry, name, stage)) for entry, places in grouped(node.entries)]
    other = next((arm for arm in arms if arm[1] == Give(FALSE)), max(arms, key=lambda arm: len(arm[0])))
    return Case(node.index, tuple(arm for arm in arms if arm != other), other[1])


def _guarded(node: And | Or, name: str, stage: str) -> Tree:
    """What must hold, or is enough, before the one part that has branches of its own."""
    trees = [(part, tree(part, name, stage)) for part in node.parts]
    others = [part for part, found in trees if isinstance(found, Give | Keep)]
    if len(others) != len(trees) - 1:
        return Give(node)
    rest = next(found for _, found in trees if isinstance(found, If | Case))
    if isinstance(node, And):
        return _if(any_of(contrary(part) for part in others), Give(FALSE), rest)
    return _if(any_of(others), Give(TRUE), rest)
