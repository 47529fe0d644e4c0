"""What the value of an expression rests on in a scan: a table keyed by node class.

Rule of this file: a row gives every smallest set of parts that is enough by itself. With those parts as they
are, the value is what it is, whatever the other parts are. Where values are known to be enough alike they are
compared by `same`: a result that is to be the same must be so to the last bit.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Value
from steadfall.why.facts.facts import INPUT, PREVIOUS, Counted, Fact, Signal, Ways
from steadfall.why.least import support_blocks as blocks
from steadfall.why.least.view import View


def same(values: Sequence[Value]) -> bool:
    """Whether all values are the same to the last bit; every "not a number" counts as the same."""
    return len({_bits(value) for value in values}) <= 1


def _bits(value: Value) -> object:
    if isinstance(value, float):
        return "nan" if value != value else struct.pack("<d", value)  # noqa: PLR0124
    return value


def _read(node: nodes.Read, view: View) -> Ways:
    return ((Fact(INPUT, node.name) if view.is_input(node.name) else Signal(node.name),),)


def _and(node: nodes.And, view: View) -> Ways:
    missing = tuple((part,) for part in node.parts if not view.value(part))
    return missing or (node.parts,)


def _or(node: nodes.Or, view: View) -> Ways:
    found = tuple((part,) for part in node.parts if view.value(part))
    return found or (node.parts,)


def _select(node: nodes.Select, view: View) -> Ways:
    chosen = node.then if view.value(node.when) else node.otherwise
    either: Ways = (
        ((node.then, node.otherwise),) if same([view.value(node.then), view.value(node.otherwise)]) else ()
    )
    return ((node.when, chosen), *either)


def _mux(node: nodes.Mux, view: View) -> Ways:
    place = min(max(view.value(node.index), 0), len(node.entries) - 1)
    every: Ways = (node.entries,) if same([view.value(entry) for entry in node.entries]) else ()
    return ((node.index, node.entries[place]), *every)


def _both(node: Any, _: View) -> Ways:
    return ((node.left, node.right),)


SUPPORT: Mapping[type[Node], Callable[[Any, View], Ways]] = {
    nodes.Constant: lambda _node, _view: ((),),
    nodes.Read: _read,
    nodes.Previous: lambda node, _: ((Fact(PREVIOUS, node.name),),),
    nodes.Elapsed: lambda node, _: ((Counted(node.timer),),),
    nodes.Not: lambda node, _: ((node.part,),),
    nodes.And: _and,
    nodes.Or: _or,
    nodes.Compare: _both,
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _both,
    nodes.Subtract: _both,
    nodes.Multiply: _both,
    nodes.Least: _both,
    nodes.Greatest: _both,
    nodes.Limit: lambda node, _: ((node.low, node.value, node.high),),
    nodes.SquareRoot: lambda node, _: ((node.part,),),
    nodes.ToReal: lambda node, _: ((node.part,),),
    nodes.ToTime: lambda node, _: ((node.part,),),
    nodes.Rise: blocks.rise,
    nodes.Fall: blocks.fall,
    nodes.SetDominant: blocks.set_dominant,
    nodes.ResetDominant: blocks.reset_dominant,
    nodes.Ton: blocks.ton,
    nodes.Tof: blocks.tof,
    nodes.Tp: blocks.tp,
    nodes.Since: blocks.since,
}
