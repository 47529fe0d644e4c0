"""The parts of a model's state: what of a signal each one is.

Rule of this file: a key is made here, for the solver and for stored proofs, and never taken apart.
"""

from __future__ import annotations

from enum import StrEnum

from steadfall.logic import nodes
from steadfall.logic.network import Network


class Part(StrEnum):
    """What of a signal is kept from scan to scan."""

    LAST = "last"  # its value
    ELAPSED = "et"  # of a timer: the time that it has counted
    STATE = "state"  # of a timer or an edge: where it is
    AGE = "age"  # of a Since: from which the next scan counts on; 0 where its event has just been
    GIVEN = "in"  # of an input: what the last scan saw, in a model with real numbers


STARTED, SETTLED = "started", "settled"  # of the whole controller


def key_of(part: Part, name: str) -> str:
    """The key of a part of the state."""
    return f"{part}:{name}"


def last(name: str) -> str:
    """The key of a signal's last value."""
    return key_of(Part.LAST, name)


def age(name: str) -> str:
    """The key of the age of a Since."""
    return key_of(Part.AGE, name)


def elapsed(name: str) -> str:
    """The key of the time that a timer has counted."""
    return key_of(Part.ELAPSED, name)


def state(name: str) -> str:
    """The key of where a timer or an edge is."""
    return key_of(Part.STATE, name)


def lasting(network: Network) -> list[str]:
    """The signals whose last value is kept: those that some node looks back at, in the order of the network,
    then latches.
    """
    rows = network.assignments
    asked = (node.name for row in rows for node in row.naming if isinstance(node, nodes.Previous))
    latches = (row.name for row in rows if isinstance(row.node, nodes.SetDominant | nodes.ResetDominant))
    return list(dict.fromkeys([*asked, *latches]))
