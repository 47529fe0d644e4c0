"""A first-order filter as one row of a network: what it is made of, and which rows are one.

Rule of this file: a row is written and known again by the same shape, side by side.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.logic.forms import all_of, choose, real
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import (
    Add,
    And,
    Constant,
    Least,
    Multiply,
    Node,
    Previous,
    Select,
    Subtract,
    ToReal,
)


@frozen
class Filter:
    """A row that filters: the reading that it follows, whether that is a good sensor's, and its time."""

    name: str
    reading: Node
    good: Node
    time_ms: float
    before: float  # its value before the first scan


def filtered(before: Previous, reading: Node, good: tuple[Node, Node], scan_time: Node, share: Node) -> Node:
    """The value goes to the reading by its share in each scan, between two readings of a good sensor.

    `good`: whether this reading is one, and the one of the scan before; `share`: of the way, in a ms.
    """
    gone = Least(Multiply(ToReal(scan_time), share), real(1.0))
    nearer = Add(before, Multiply(Subtract(reading, before), gone))
    return choose(all_of(good), nearer, reading)


def filter_of(row: Assignment) -> Filter | None:
    """What a row filters; None where it is no filter."""
    match row.node:
        case Select(
            And((good, _)),
            Add(
                Previous(name),
                Multiply(
                    Subtract(reading, Previous(same)),
                    Least(Multiply(ToReal(_), Constant(float(per_ms))), Constant(1.0)),
                ),
            ),
            begun,
        ) if name == same == row.name and reading == begun and per_ms > 0.0:
            return Filter(row.name, reading, good, 1.0 / per_ms, float(row.initial))
    return None


def filters_of(network: Network) -> tuple[Filter, ...]:
    """Every filter of a network, in order."""
    found = map(filter_of, network.assignments)
    return tuple(one for one in found if one)
