"""Where the fast machine keeps the parts of a model's state."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.prove.system.kept import Part, age
from steadfall.prove.system.step import Model
from steadfall.scan import opcodes as op
from steadfall.scan.layout import Register
from steadfall.scan.program import Program

# target, two operands, and the first of two registers
WITH_STATE = op.TON, op.TOF, op.TP, op.RISE, op.FALL


def registers(model: Model, program: Program) -> Mapping[str, Register]:
    """The register of every part of the state; an age's is that of its clock."""
    blocks = {int(row[1]): int(row[4]) for row in program.code if row[0] in WITH_STATE}
    found: dict[str, Register] = {}
    for slot in model.slots:
        name = slot.name
        if slot.part is Part.STATE:
            found[slot.key] = Register("ints", blocks[program.where[name].place] + 1)
        elif slot.part:
            found[slot.key] = program.where[f"{name}.ET" if slot.part is Part.ELAPSED else name]
    return found


def events(network: Network, program: Program) -> Mapping[str, Register]:
    """The event that each age is counted from."""
    rows = ((row.name, row.node) for row in network.assignments)
    return {age(name): program.where[node.event] for name, node in rows if isinstance(node, nodes.Since)}
