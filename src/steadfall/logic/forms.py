"""Short ways to write common nodes."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

import attrs

from steadfall.logic.nodes import (
    Add,
    And,
    Compare,
    Constant,
    Mux,
    Node,
    Not,
    Or,
    Read,
    Select,
    Subtract,
    Type,
)
from steadfall.logic.types import rebuilt
from steadfall.plan.model.setting import Level, Preset
from steadfall.roles import in_use
from steadfall.source import NOWHERE, Mark

TRUE = Constant(True, Type.BOOL)
FALSE = Constant(False, Type.BOOL)


def ms(value: int, label: str = "", mark: Mark = NOWHERE) -> Node:
    """A time; one that hangs on settings is worked out from what they are."""
    if not isinstance(value, Preset):
        return Constant(value, Type.TIME, label=label, mark=mark)
    parts: list[Node] = [
        Read(in_use(one.name).name, Type.TIME) for one, times in value.of for _ in range(times)
    ]
    less_of = [Read(in_use(one.name).name, Type.TIME) for one, times in value.of for _ in range(-times)]
    more = [Constant(value.more, Type.TIME)] if value.more else []
    return reduce(Subtract, less_of, reduce(Add, [*parts, *more] or [Constant(0, Type.TIME)]))


def whole(value: int, label: str = "") -> Constant:
    """A whole number."""
    return Constant(value, Type.INT, label=label)


def numbered(state: int) -> Constant:
    """The number of one of the circuit's own states, which code spells by its name."""
    return Constant(state, Type.INT, is_state=True)


def real(value: float, label: str = "") -> Node:
    """A real number; a setting as it is."""
    if isinstance(value, Level):
        return Read(in_use(value.of.name).name, Type.REAL)
    return Constant(float(value), Type.REAL, label=label)


def real_less(value: float, less: float, label: str = "") -> Node:
    """The difference of two real numbers, either of which may be a setting."""
    if isinstance(value, Level) or isinstance(less, Level):
        return Subtract(real(value), real(less))
    return real(value - less, label)


def boolean(value: bool) -> Constant:
    """True or false."""
    return TRUE if value else FALSE


def all_of(parts: Iterable[Node]) -> Node:
    """All parts hold; true where there are none."""
    kept = tuple(part for part in parts if part != TRUE)
    if FALSE in kept:
        return FALSE
    return And(kept) if len(kept) > 1 else kept[0] if kept else TRUE


def any_of(parts: Iterable[Node]) -> Node:
    """At least one part holds; false where there are none."""
    kept = tuple(part for part in parts if part != FALSE)
    if TRUE in kept:
        return TRUE
    return Or(kept) if len(kept) > 1 else kept[0] if kept else FALSE


def opposite(part: Node) -> Node:
    """Not this."""
    if isinstance(part, Not):
        return part.part
    return {TRUE: FALSE, FALSE: TRUE}[part] if part in (TRUE, FALSE) else Not(part)


def equal(left: Node, right: Node) -> Node:
    """The two are the same."""
    return Compare("=", left, right)


def different(left: Node, right: Node) -> Node:
    """The two are not the same."""
    return Compare("<>", left, right)


def at_least(left: Node, right: Node) -> Node:
    """The left is the right or more."""
    return Compare(">=", left, right)


def less(left: Node, right: Node) -> Node:
    """The left is less than the right."""
    return Compare("<", left, right)


def choose(when: Node, then: Node, otherwise: Node) -> Node:
    """One or the other."""
    return (
        then
        if when == TRUE or then == otherwise
        else otherwise
        if when == FALSE
        else Select(when, then, otherwise)
    )


def lookup(index: Node, entries: Iterable[Node], label: str = "") -> Node:
    """The entry at a place; where all entries are the same there is nothing to look up."""
    row = tuple(entries)
    return row[0] if all(entry == row[0] for entry in row) else Mux(index, row, label=label)


def stamp(node: Node, mark: Mark) -> Node:
    """A node in which every part that has no origin of its own has this one."""
    made = rebuilt(node, lambda part: stamp(part, mark))
    return attrs.evolve(made, mark=mark) if made.mark == NOWHERE else made
