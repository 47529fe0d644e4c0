"""Whether a row of a controller that is written otherwise ever gives another value.

Rule of this file: that the two ways of writing it differ is put under the right controller as a requirement
that must never be broken; what is proved so keeps the two controllers the same scan by scan. A time that is
made of a measured value is compared as that value is: the solver knows where a value lies, not which time it
makes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from attrs import evolve

from steadfall.logic import nodes
from steadfall.logic.forms import any_of, boolean, choose, different, less, opposite, real
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Constant, Node, Read, Type
from steadfall.logic.types import besides, children, rebuilt, type_of, walk
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.by_lemmas import by_lemmas
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.roles import observer
from steadfall.scan.interpreter import rounded

EFFORT = 20_000_000
FARTHEST = 1e9  # of a measured value
APART = observer("it differs").name


def never_differs(of: Watched, signal: str, other: Node) -> bool:
    """Whether it is proved that a row never gives another value if it is written as `other`."""
    rows = {row.name: row for row in of.network.assignments}
    own = rows[signal].node
    pairs = [(own, other)]
    if isinstance(own, nodes.BLOCKS) and type(own) is type(other) and besides(own) == besides(other):
        pairs = list(zip(children(own), children(other), strict=True))
    if any(isinstance(part, nodes.BLOCKS) for pair in pairs for node in pair for part in walk(node)):
        return False
    bad = any_of(_apart(_by_places(one, rows), _by_places(two, rows)) for one, two in pairs)
    made = Assignment(APART, Type.BOOL, bad, False, identity=observer(APART).identity)
    others = [row if row.is_block else evolve(row, node=_told(row.node, rows)) for row in rows.values()]
    network = evolve(of.network, assignments=(*others, made))
    looks = tuple(sorted(made.reads))
    asked = Required("same", "It is the same.", (), APART, APART, looks, rows[signal].identity.circuit)
    seen = Simulated(witness={"by": "none"})  # whether it is ever at work is not asked
    whole, ask = evolve(of, network=network, required=(asked,)), Ask(effort=EFFORT)
    verdict = decide(whole, asked, ask, seen, by_lemmas(whole, [asked], ask, Hands()).get(asked.name))
    return verdict.verdict == PROVED and bool(verdict.rechecked)


def _apart(one: Node, two: Node) -> Node:
    """The two are not the same; of choices on the same condition, what is chosen is not."""
    if one == two:
        return boolean(False)
    if isinstance(one, nodes.Select) and isinstance(two, nodes.Select):
        if one.when == two.when:
            return choose(one.when, _apart(one.then, two.then), _apart(one.otherwise, two.otherwise))
        if (one.then, one.otherwise) == (two.then, two.otherwise):
            return different(one.when, two.when)
    if type_of(one) is Type.REAL:
        return any_of((less(one, two), less(two, one)))
    return different(one, two)


def _by_places(node: Node, rows: Mapping[str, Assignment]) -> Node:
    """The same with times that are made of a measured value compared as that value is."""
    return _place(node, rows) or rebuilt(node, lambda part: _by_places(part, rows))


def _told(node: Node, rows: Mapping[str, Assignment]) -> Node:
    """The same; where a time is chosen so, what is left is told that the times compare the same."""
    if (place := _place(node, rows)) is not None:
        return place
    made = rebuilt(node, lambda part: _told(part, rows))
    if isinstance(node, nodes.Select) and isinstance(made, nodes.Select) and type_of(node) is Type.TIME:
        when = node.when
        if isinstance(when, nodes.Compare) and when.op == "<" and _place(when, rows) is not None:
            return evolve(made, otherwise=choose(when, when.right, made.otherwise))
    return made


def _place(node: Node, rows: Mapping[str, Assignment]) -> Node | None:
    """A comparison of a time that is made of a measured value, as one of that value; else None."""
    if not (isinstance(node, nodes.Compare) and isinstance(node.left, Read) and node.op in ("<", ">")):
        return None
    row, limit = rows.get(node.left.name), node.right
    made = row.node.part if row and isinstance(row.node, nodes.ToTime) else None
    if row is None or not isinstance(made, nodes.Multiply) or not isinstance(limit, Constant):
        return None
    factor, step_ms = made.right, getattr(row.node, "step_ms", 1)
    if not isinstance(factor, Constant) or factor.value <= 0:
        return None
    below = less(made.left, real(_least(factor.value, step_ms, limit.value + (node.op == ">"))))
    return below if node.op == "<" else opposite(below)


def _least(factor: float, step_ms: int, ms: float) -> float:
    """The least value that is a time of so many ms or more."""
    low, high = -FARTHEST, FARTHEST
    while math.nextafter(low, high) < high:
        middle = (low + high) / 2
        low, high = (low, middle) if rounded(middle * factor, step_ms) >= ms else (middle, high)
    return high
