"""Between which ends every INT and TIME signal stays, from the network alone.

Rule of this file: the ends hold in every scan under every input; what grows without end is left open. They are handed
to the engines as part of the invariant, and the recheck proves them again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import TIMERS, Node, Type
from steadfall.logic.types import type_of

Range = tuple[float, float]
OPEN: Range = (-math.inf, math.inf)
_ROUNDS = 64  # of widening by what one scan can reach; what still grows then is left open


def ranges(network: Network) -> dict[str, Range]:
    """The ends of every INT and TIME signal."""
    rows = [row for row in network.assignments if row.type in (Type.INT, Type.TIME)]
    found: dict[str, Range] = {row.name: OPEN for row in network.inputs}
    found |= {row.name: (row.initial, row.initial) for row in rows}
    found |= _elapsed(network, found)
    for again in range(2 * _ROUNDS):
        grown = {}
        for row in rows:
            new = join(found[row.name], of(row.node, found))
            if new != found[row.name]:
                grown[row.name] = new if again < _ROUNDS else OPEN
        if not grown:
            return found
        found |= grown
    return dict.fromkeys(found, OPEN)


def _elapsed(network: Network, found: Mapping[str, Range]) -> dict[str, Range]:
    """A timer's elapsed time by the name `NAME.ET`, up to its preset."""
    timers = [row for row in network.assignments if isinstance(row.node, TIMERS)]
    open_ = dict.fromkeys(network.types, OPEN)
    return {
        f"{row.name}.ET": (0, max(0, of(row.node.preset, {**found, **open_})[1]))
        for row in timers
        if isinstance(row.node, TIMERS)
    }


def join(a: Range, b: Range) -> Range:
    """The range that covers both."""
    return min(a[0], b[0]), max(a[1], b[1])


def of(node: Node, found: Mapping[str, Range]) -> Range:
    """The ends of an INT or TIME node."""
    row = _ROWS.get(type(node))
    return row(node, found) if row else OPEN


def _constant(node: nodes.Constant, _: Mapping[str, Range]) -> Range:
    return float(node.value), float(node.value)


def _choice(*parts: Node) -> Callable[[Mapping[str, Range]], Range]:
    def ends(found: Mapping[str, Range]) -> Range:
        rows = [of(part, found) for part in parts]
        return min(row[0] for row in rows), max(row[1] for row in rows)

    return ends


_ROWS: Mapping[type[Node], Callable[[Any, Mapping[str, Range]], Range]] = {
    nodes.Constant: _constant,
    nodes.Read: lambda node, found: found.get(node.name, OPEN),
    nodes.Previous: lambda node, found: found.get(node.name, OPEN),
    nodes.Elapsed: lambda node, found: found.get(f"{node.timer}.ET", OPEN),
    nodes.Select: lambda node, found: _choice(node.then, node.otherwise)(found),
    nodes.Mux: lambda node, found: _choice(*node.entries)(found),
    nodes.Since: lambda node, _: (0.0, float(node.limit_ms)),
}


def is_whole(node: Node) -> bool:
    """Whether a node is an INT or a TIME."""
    return type_of(node) in (Type.INT, Type.TIME)
