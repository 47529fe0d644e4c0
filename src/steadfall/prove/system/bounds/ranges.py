"""Between which ends every INT and TIME signal stays, from the network alone.

Rule of this file: the ends hold in every scan under every input; what grows without end is left open. They
are handed to the engines as part of the invariant, and the recheck proves them again. An input has the ends
that it holds, where they are known; a signal that was set free has none.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from attrs import evolve, field, frozen

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import LARGEST, TIMERS, Node, Type
from steadfall.logic.types import type_of
from steadfall.prove.system.bounds.narrow import facts

Range = tuple[float, float]
OPEN: Range = (-math.inf, math.inf)
NOTHING: Range = (math.inf, -math.inf)  # of what cannot be
_EXACT = (
    16  # rounds of widening by what one scan can reach; from then on up to the next constant of the network
)
_DEEPEST = 4  # signals within signals
_ROUNDS = 128  # what still grows then is left open
_AGAIN = 2  # rounds back from the constants that were too far


@frozen(eq=False)
class Known:
    """The ends of signals by name, and what is known besides while a condition holds."""

    ends: Mapping[str, Range]
    given: Mapping[str, Node] = field(factory=dict)  # signals that are no blocks, and what they are given
    narrowed: Mapping[Node, Range] = field(factory=dict)
    depth: int = _DEEPEST  # how far what a signal is given is looked at again, where something is narrowed

    def under(self, condition: Node, holds: bool) -> Known:
        """The same while a condition holds, or while it does not."""
        found = dict(self.narrowed)
        for part, low, high in facts(condition, holds, self.given):
            found[part] = meet(found.get(part, OPEN), (low, high))
        return evolve(self, narrowed=found)

    def of(self, node: Node) -> Range:
        """The ends of an INT or TIME node."""
        row = _ROWS.get(type(node))
        return meet(row(node, self), self.narrowed.get(node, OPEN)) if row else OPEN


def of(node: Node, found: Mapping[str, Range]) -> Range:
    """The ends of an INT or TIME node."""
    return Known(found).of(node)


def known_of(network: Network) -> Known:
    """What is known of a network in every scan."""
    return Known(ranges(network), _given(network))


def _given(network: Network) -> dict[str, Node]:
    return {row.name: row.node for row in network.assignments if not row.is_block}


def ranges(network: Network) -> dict[str, Range]:
    """The ends of every INT and TIME signal."""
    rows = [row for row in network.assignments if row.type in (Type.INT, Type.TIME)]
    found: dict[str, Range] = {row.name: row.holds or OPEN for row in network.inputs}
    found |= {row.name: (row.initial, row.initial) for row in rows}
    found |= _elapsed(network, found)
    known, steps = Known(found, _given(network)), _steps(network)
    for again in range(_ROUNDS):
        grown = [row.name for row in rows if _grows(row, known, found, steps if again >= _EXACT else ())]
        if not grown:
            break
    else:
        return found | {row.name: OPEN for row in rows}
    for _ in range(_AGAIN):
        found |= {row.name: join((row.initial, row.initial), known.of(row.node)) for row in rows}
    return found


def _grows(row: Assignment, known: Known, found: dict[str, Range], steps: Sequence[float]) -> bool:
    """Widens a signal by what one scan can reach, or up to the next of some steps; whether there was anything
    new.
    """
    old = found[row.name]
    low, high = join(old, known.of(row.node))
    if (low, high) == old:
        return False
    if steps:
        low = low if low == old[0] else steps[bisect_right(steps, low) - 1]
        high = high if high == old[1] else steps[bisect_left(steps, high)]
    found[row.name] = low, high
    return True


def _steps(network: Network) -> list[float]:
    """Where a signal that grows may come to rest: at the constants of the network, one before, one past."""
    every = [node for row in network.assignments for node in row.parts]
    found = {int(node.value) for node in every if isinstance(node, nodes.Constant) and is_whole(node)}
    found |= {node.limit_ms for node in every if isinstance(node, nodes.Since)}
    found |= {end for row in network.inputs if row.holds for end in row.holds}
    return sorted({-math.inf, math.inf, *(value + more for value in found for more in (-1, 0, 1))})


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


def meet(a: Range, b: Range) -> Range:
    """What lies in both."""
    low, high = max(a[0], b[0]), min(a[1], b[1])
    return (low, high) if low <= high else NOTHING


def _read(node: nodes.Read, known: Known) -> Range:
    """A signal; while something is narrowed, what it is given in this scan may be narrower than what it ever
    is.
    """
    ends = known.ends.get(node.name, OPEN)
    if not known.narrowed or not known.depth or node.name not in known.given:
        return ends
    return meet(ends, evolve(known, depth=known.depth - 1).of(known.given[node.name]))


def _constant(node: nodes.Constant, _: Known) -> Range:
    return float(node.value), float(node.value)


def _select(node: nodes.Select, known: Known) -> Range:
    return join(known.under(node.when, True).of(node.then), known.under(node.when, False).of(node.otherwise))


def _mux(node: nodes.Mux, known: Known) -> Range:
    rows = [known.of(part) for part in node.entries]
    return min(row[0] for row in rows), max(row[1] for row in rows)


def _sum(node: nodes.Add | nodes.Subtract, known: Known) -> Range:
    """A sum stops at +-2^53; ends out there say nothing and are left open."""
    (a, b), (c, d) = known.of(node.left), known.of(node.right)
    if NOTHING in ((a, b), (c, d)):
        return NOTHING
    low, high = (a + c, b + d) if isinstance(node, nodes.Add) else (a - d, b - c)
    return low if low > -LARGEST else -math.inf, high if high < LARGEST else math.inf


_ROWS: Mapping[type[Node], Callable[[Any, Known], Range]] = {
    nodes.Constant: _constant,
    nodes.Read: _read,
    nodes.Previous: lambda node, known: known.ends.get(node.name, OPEN),
    nodes.Elapsed: lambda node, known: known.ends.get(f"{node.timer}.ET", OPEN),
    nodes.Select: _select,
    nodes.Mux: _mux,
    nodes.Add: _sum,
    nodes.Subtract: _sum,
    nodes.Since: lambda node, _: (0.0, float(node.limit_ms)),
}


def is_whole(node: Node) -> bool:
    """Whether a node is an INT or a TIME."""
    return type_of(node) in (Type.INT, Type.TIME)
