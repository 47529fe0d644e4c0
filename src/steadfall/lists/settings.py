"""The sheet of settings, as it goes to who makes the panel and to who keeps its book."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.lists.sheet import Sheet
from steadfall.plan.model import Plan, Setting
from steadfall.plan.text.lay_out import time
from steadfall.st.write.unit import origin
from steadfall.units import shown

HEADINGS = (
    "setting", "default", "from", "to", "taken over", "name in code", "modbus", "opcua",
    "set to", "by", "on", "plan",
)  # fmt: skip
ROOM = ("", "", "")  # what it is set to, by whom and when: filled in by hand
AT_ONCE, AT_REST = "at once", "while every circuit is idle"
RULE = "What the panel shows beyond an end counts as that end. The controller keeps it while power is off."


def settings(plan: Plan, names: Mapping[str, str]) -> Sheet:
    """One row for each setting, with room for what it is set to, by whom and when."""
    spelled = {signal: name for name, signal in names.items()}
    terminals = plan.io.terminals
    rows = []
    for name, item in plan.settings.items():
        wired = terminals.get(name)
        ends = tuple(value_of(item, value) for value in (item.default, item.low, item.high))
        registers = (wired.modbus, wired.opcua) if wired else ("", "")
        taken = AT_REST if item.is_time else AT_ONCE
        row = (name, *ends, taken, spelled.get(name, ""), *registers)
        rows.append((*row, *ROOM, origin([item.at.own])))
    return Sheet("settings", HEADINGS, tuple(rows), (RULE,))


def value_of(item: Setting, value: float) -> str:
    """A value of a setting, as its unit has it."""
    return time(round(value * 1000)) if item.is_time else shown(value, item.dimension, 6, item.unit)
