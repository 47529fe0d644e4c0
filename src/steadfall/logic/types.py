"""The type of every node, and what it asks of its parts: a table keyed by node class.

Rule of this file: one row per node class; a row either answers with the node's type or says what does not
fit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import attrs

from steadfall.comparisons import HOLDS, ORDERED
from steadfall.logic import nodes
from steadfall.logic.nodes import LARGEST, Node, Type

BOOL, TIME, INT, REAL = Type.BOOL, Type.TIME, Type.INT, Type.REAL


class NetworkError(ValueError):
    """A network that means nothing: an undefined signal, types that do not fit, a name assigned twice."""


def children(node: Node) -> tuple[Node, ...]:
    """The nodes directly within a node, in the order in which they are written."""
    found: list[Node] = []
    for name in _PARTS[type(node)]:
        value = getattr(node, name)
        if isinstance(value, tuple):
            found.extend(value)
        else:
            found.append(value)
    return tuple(found)


# The fields of each node class that hold nodes, by their declared types.
_PARTS: Mapping[type[Node], tuple[str, ...]] = {
    made: tuple(row.name for row in attrs.fields(made) if str(row.type) in ("Node", "tuple[Node, ...]"))
    for made in nodes.NODE_CLASSES
}


def walk(node: Node) -> Iterable[Node]:
    """A node and everything within it, outermost first."""
    todo = [node]
    while todo:
        here = todo.pop()
        yield here
        todo.extend(reversed(children(here)))


def rebuilt(node: Node, change: Callable[[Node], Node]) -> Node:
    """The same node with other parts: what `change` makes of each, in the order in which they are written."""
    changes: dict[str, Any] = {}
    for name in _PARTS[type(node)]:
        value = getattr(node, name)
        changes[name] = tuple(map(change, value)) if isinstance(value, tuple) else change(value)
    return attrs.evolve(node, **changes) if changes else node


def besides(node: Node) -> tuple[Any, ...]:
    """What a node says besides its parts, such as which comparison it is; how many parts its rows have."""
    parts = _PARTS[type(node)]
    own = (row.name for row in attrs.fields(type(node)) if row.name not in (*parts, "mark", "label"))
    rows = (len(row) for row in (getattr(node, name) for name in parts) if isinstance(row, tuple))
    return (*(getattr(node, name) for name in own), *rows)


def type_of(node: Node) -> Type:
    """The type of a node; raises NetworkError when its parts do not fit."""
    return TYPES[type(node)](node)


def _ask(node: Node, *pairs: tuple[Node, Type]) -> None:
    for part, wanted in pairs:
        found = type_of(part)
        if found is not wanted:
            raise NetworkError(
                f"{node.mark}: {type(node).__name__} needs {wanted.value} and got {found.value}"
            )


def _alike(node: Node, parts: Iterable[Node]) -> Type:
    types = {type_of(part) for part in parts}
    if len(types) != 1:
        names = sorted(type_.value for type_ in types)
        raise NetworkError(f"{node.mark}: {type(node).__name__} needs parts of one type and got {names}")
    return types.pop()


def _constant(node: nodes.Constant) -> Type:
    value = node.value
    fits = {
        BOOL: isinstance(value, bool),
        TIME: type(value) is int and abs(value) <= LARGEST,
        INT: type(value) is int and abs(value) <= LARGEST,
        REAL: isinstance(value, float),
    }
    if not fits[node.type]:
        raise NetworkError(f"{node.mark}: {value!r} is not a {node.type.value}")
    return node.type


def _bools(node: nodes.And | nodes.Or) -> Type:
    if not node.parts:
        raise NetworkError(f"{node.mark}: {type(node).__name__} without parts")
    _ask(node, *((part, BOOL) for part in node.parts))
    return BOOL


def _compare(node: nodes.Compare) -> Type:
    kind = _alike(node, (node.left, node.right))
    if node.op not in HOLDS or (kind is BOOL and node.op in ORDERED):
        raise NetworkError(f"{node.mark}: {kind.value} cannot be compared with '{node.op}'")
    return BOOL


def _select(node: nodes.Select) -> Type:
    _ask(node, (node.when, BOOL))
    return _alike(node, (node.then, node.otherwise))


def _mux(node: nodes.Mux) -> Type:
    _ask(node, (node.index, INT))
    return _alike(node, node.entries)


def _sum(node: nodes.Add | nodes.Subtract) -> Type:
    kind = _alike(node, (node.left, node.right))
    if kind is BOOL:
        raise NetworkError(f"{node.mark}: {type(node).__name__} needs numbers and got BOOL")
    return kind


def _real(node: Any) -> Type:
    _ask(node, *((part, REAL) for part in children(node)))
    return REAL


def _to_real(node: nodes.ToReal) -> Type:
    if type_of(node.part) not in (TIME, INT):
        raise NetworkError(f"{node.mark}: ToReal needs TIME or INT")
    return REAL


def _to_time(node: nodes.ToTime) -> Type:
    _ask(node, (node.part, REAL))
    if not 1 <= node.step_ms <= 1000:
        raise NetworkError(f"{node.mark}: a time is rounded to a step of 1 to 1000 ms, not {node.step_ms}")
    return TIME


def _bool(node: Any) -> Type:
    _ask(node, *((part, BOOL) for part in children(node)))
    return BOOL


def _timer(node: nodes.Timer) -> Type:
    _ask(node, (node.part, BOOL), (node.preset, TIME))
    return BOOL


def _since(node: nodes.Since) -> Type:
    if not 0 <= node.limit_ms <= LARGEST:
        raise NetworkError(f"{node.mark}: Since cannot count to {node.limit_ms} ms")
    return TIME


def _own(node: Any) -> Type:
    own: Type = node.type
    return own


def _time(_: Any) -> Type:
    return TIME


TYPES: Mapping[type[Node], Callable[[Any], Type]] = {
    nodes.Constant: _constant,
    nodes.Read: _own,
    nodes.Previous: _own,
    nodes.Elapsed: _time,
    nodes.Not: _bool,
    nodes.And: _bools,
    nodes.Or: _bools,
    nodes.Compare: _compare,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _sum,
    nodes.Subtract: _sum,
    nodes.Multiply: _real,
    nodes.Least: _real,
    nodes.Greatest: _real,
    nodes.Limit: _real,
    nodes.SquareRoot: _real,
    nodes.ToReal: _to_real,
    nodes.ToTime: _to_time,
    nodes.Rise: _bool,
    nodes.Fall: _bool,
    nodes.SetDominant: _bool,
    nodes.ResetDominant: _bool,
    nodes.Ton: _timer,
    nodes.Tof: _timer,
    nodes.Tp: _timer,
    nodes.Since: _since,
}
