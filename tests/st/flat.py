"""Any network as one program, for tests: every node class there is, in any nesting."""

from __future__ import annotations

from steadfall.logic.network import Network
from steadfall.st.write.names import Names
from steadfall.st.write.split import plain
from steadfall.st.write.unit import Declaration, Unit


def flat(network: Network) -> tuple[str, dict[str, str]]:
    """The text, and what its names stand for; every signal is an output."""
    order = {row.name: place for place, row in enumerate(network.assignments)}
    begun = {row.name for row in network.assignments if row.initial is True}
    unit = Unit(Names(["main"]), order, types=network.types, far=False, begun=begun)
    spelled = {}
    for item in network.inputs:
        word = unit.now(item.name)
        unit.declare("VAR_INPUT", Declaration(word, item.type.value))
        spelled[word] = item.name
    for row in network.assignments:
        spelled[unit.signal(plain(row), "VAR_OUTPUT")] = row.name
    for place, row in enumerate(network.assignments):
        unit.row(plain(row), place)
    return unit.listing("PROGRAM main", "END_PROGRAM"), spelled
