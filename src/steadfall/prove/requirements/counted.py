"""A controller whose counters begin where years may have left them.

Rule of this file: what is retained and measured in REAL is, in the first scan, what an input of its own says;
so a run need not open a valve 500000 times to come to what is due then. That takes in every run from new, and
a proof over it is one over those.
"""

from __future__ import annotations

from attrs import evolve

from steadfall.logic.forms import TRUE, choose
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Previous, Read, Type
from steadfall.logic.types import rebuilt
from steadfall.roles import choice, observer

RAN = observer("counted:ran").name


def kept(name: str) -> str:
    """The input that says where a counter begins."""
    return choice(f"{name}:kept").name


def begun_anywhere(network: Network) -> Network:
    """The same controller, with such an input for each counter; itself where it has none."""
    rows = [row for row in network.assignments if row.retained and row.type is Type.REAL]
    if not rows:
        return network
    counted = frozenset(row.name for row in rows)
    given = tuple(
        Input(kept(row.name), Type.REAL, mark=row.mark, identity=choice(row.name).identity) for row in rows
    )
    ran = Assignment(RAN, Type.BOOL, TRUE, False, mark=rows[0].mark, identity=observer(RAN).identity)

    def begun(node: Node) -> Node:
        if isinstance(node, Previous) and node.name in counted:
            return choose(Previous(RAN, Type.BOOL), node, Read(kept(node.name), Type.REAL))
        return rebuilt(node, begun)

    changed = tuple(evolve(row, node=begun(row.node)) for row in network.assignments)
    return evolve(network, inputs=(*network.inputs, *given), assignments=(*changed, ran))
