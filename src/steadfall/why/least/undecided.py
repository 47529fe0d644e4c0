"""Which fact to look at next: one that an undecided part of a scan rests on, and which way it should go for
the outcome to be another one.

Rule of this file: an aim is only a guess that shortens the search, a table keyed by node class. Of a BOOL it
is the value that is wanted, of a number 1 (high), -1 (low) or 0 (any).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from steadfall.comparisons import MIRROR, NEGATION
from steadfall.logic import nodes
from steadfall.logic.network import Assignment
from steadfall.logic.nodes import Node
from steadfall.logic.types import children
from steadfall.why.facts.facts import CLOCK, DT, INPUT, PREVIOUS, Counted, Fact, Part, Signal, key
from steadfall.why.least import spans
from steadfall.why.least.partly import Partly
from steadfall.why.least.spans import Partial, Span

Aim = bool | int
Aimed = tuple[Part, Aim]
HIGH, LOW, ANY = 1, -1, 0


def undecided(
    root: Aimed, run: Partly, rows: Mapping[str, Assignment], wanted: Callable[[Fact | Signal], bool]
) -> tuple[Fact | Signal, Aim] | None:
    """The first fact or signal that is wanted below the undecided parts, and its aim; None where there is
    none.
    """
    own = root[0].name if isinstance(root[0], Signal) else ""
    todo: list[tuple[Part, Aim, str]] = [(rows[own].node if own else root[0], root[1], own)]
    seen = set[object]()
    while todo:
        part, aim, name = todo.pop()
        if key(part) in seen:
            continue
        seen.add(key(part))
        if isinstance(part, Fact | Signal) and wanted(part):
            return part, aim
        if isinstance(part, Signal | Counted):
            own = part.name if isinstance(part, Signal) else part.timer
            found = run.values[own] if isinstance(part, Signal) else run.counted[own]
            todo += [] if spans.known(found) else [(rows[own].node, aim, own)]
        elif isinstance(part, Fact):
            continue
        elif (name and isinstance(part, nodes.BLOCKS)) or not spans.known(run.nodes[id(part)]):
            below = BELOW[type(part)](part, aim, run, name)
            todo += [(*one, name) for one in reversed(list(below))]
    return None


def _read(node: nodes.Read, aim: Aim, run: Partly, _: str) -> Iterable[Aimed]:
    yield Signal(node.name) if node.name in run.values else Fact(INPUT, node.name), aim


def _compare(node: nodes.Compare, aim: Aim, _: Partly, __: str) -> Iterable[Aimed]:
    op = node.op if aim else NEGATION[node.op]
    yield node.left, _SIDE[op]
    yield node.right, _SIDE[MIRROR[op]]


_SIDE: Mapping[str, Aim] = {"<": LOW, "<=": LOW, ">": HIGH, ">=": HIGH, "=": ANY, "<>": ANY}


def _select(node: nodes.Select, aim: Aim, run: Partly, _: str) -> Iterable[Aimed]:
    when = run.nodes[id(node.when)]
    if when is None:
        then, otherwise = (run.nodes[id(part)] for part in (node.then, node.otherwise))
        yield node.when, _near(then, aim) >= _near(otherwise, aim)
        yield from ((node.then, aim), (node.otherwise, aim))
    else:
        yield node.then if when else node.otherwise, aim


def _near(value: Partial, aim: Aim) -> float:
    """How near to its aim a value may come."""
    if isinstance(value, Span):
        return value.high if aim == HIGH else -value.low
    return 0.0 if value is None else 1.0 if value == aim else -1.0


def _mux(node: nodes.Mux, aim: Aim, run: Partly, _: str) -> Iterable[Aimed]:
    yield node.index, ANY
    yield from ((entry, aim) for entry in node.entries if id(entry) in run.nodes)


def _alike(node: Node, aim: Aim, _: Partly, __: str) -> Iterable[Aimed]:
    return ((part, aim) for part in children(node))


def _opposite(aim: Aim) -> Aim:
    return not aim if isinstance(aim, bool) else -aim


def _rise(node: nodes.Rise, aim: Aim, _: Partly, name: str) -> Iterable[Aimed]:
    return (node.part, aim), (Fact(CLOCK, name), not aim)


def _fall(node: nodes.Fall, aim: Aim, _: Partly, name: str) -> Iterable[Aimed]:
    return (node.part, not aim), (Fact(CLOCK, name), not aim)


def _latch(node: Any, aim: Aim, _: Partly, name: str) -> Iterable[Aimed]:
    return (node.set, aim), (node.reset, not aim), (Fact(PREVIOUS, name), aim)


def _timer(node: Any, aim: Aim, _: Partly, name: str) -> Iterable[Aimed]:
    """An on-delay comes on late, the others go off late."""
    late = HIGH if bool(aim) == isinstance(node, nodes.Ton) else LOW
    return (node.part, bool(aim)), (Fact(CLOCK, name), late), (DT, late), (node.preset, -late)


def _since(node: nodes.Since, aim: Aim, _: Partly, name: str) -> Iterable[Aimed]:
    return (Fact(PREVIOUS, node.event), aim == LOW), (Fact(PREVIOUS, name), aim), (DT, aim)


BELOW: Mapping[type[Node], Callable[[Any, Aim, Partly, str], Iterable[Aimed]]] = {
    nodes.Constant: lambda *_: (),
    nodes.Read: _read,
    nodes.Previous: lambda node, aim, *_: ((Fact(PREVIOUS, node.name), aim),),
    nodes.Elapsed: lambda node, aim, *_: ((Counted(node.timer), aim),),
    nodes.Not: lambda node, aim, *_: ((node.part, not aim),),
    nodes.And: _alike,
    nodes.Or: _alike,
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _alike,
    nodes.Subtract: lambda node, aim, *_: ((node.left, aim), (node.right, _opposite(aim))),
    nodes.Multiply: _alike,
    nodes.Least: _alike,
    nodes.Greatest: _alike,
    nodes.Limit: _alike,
    nodes.SquareRoot: _alike,
    nodes.ToReal: _alike,
    nodes.ToTime: _alike,
    nodes.Rise: _rise,
    nodes.Fall: _fall,
    nodes.SetDominant: _latch,
    nodes.ResetDominant: _latch,
    nodes.Ton: _timer,
    nodes.Tof: _timer,
    nodes.Tp: _timer,
    nodes.Since: _since,
}
