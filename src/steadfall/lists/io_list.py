"""The list of inputs and outputs, as it goes to who wires the panel."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.lists.sheet import Sheet
from steadfall.lists.wiring import wiring
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Io, Plan
from steadfall.st.write.unit import origin

HEADINGS = (
    "signal", "description", "kind", "type", "terminal", "address", "modbus", "opcua", "range", "rest state",
    "fail state", "name in code", "plan",
)  # fmt: skip


def io_list(plan: Plan, names: Mapping[str, str], io: Io | None = None) -> Sheet:
    """One row per signal; `names` tells which name in the code stands for which signal."""
    spelled = {signal: name for name, signal in names.items()}
    spelled |= {valve: spelled.get(output.name, "") for valve, (output, _) in energised(plan).items()}
    rows = tuple(
        (
            row.name,
            row.description,
            row.kind,
            row.type,
            row.terminal.terminal,
            row.terminal.address,
            row.terminal.modbus,
            row.terminal.opcua,
            row.range,
            row.rest,
            row.fail,
            spelled.get(row.name, ""),
            origin([row.mark]),
        )
        for row in wiring(plan, io)
    )
    return Sheet("io list", HEADINGS, rows)
