"""The outputs of valves that stand open without signal: energised to shut them.

Rule of this file: a command means "open" everywhere in the controller, and is turned round once, here, in the
last rows of the scan.
"""

from __future__ import annotations

from steadfall.logic.forms import opposite
from steadfall.logic.nodes import Read, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Plan


def turned_round(sheet: Sheet, plan: Plan) -> tuple[str, ...]:
    """Writes the output of every valve that stands open without signal; gives their names."""
    rows = energised(plan)
    for valve, (output, mark) in rows.items():
        sheet.put(output, opposite(Read(valve, Type.BOOL)), mark)
    return tuple(output.name for output, _ in rows.values())
