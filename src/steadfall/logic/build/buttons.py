"""Push-buttons: whether one is pressed, and whether it has just been.

Rule of this file: a press that lasts counts once. A button that is pressed when power comes, because it is
jammed or its wire is broken, has not just been pressed.
"""

from __future__ import annotations

from attrs import field, frozen

from steadfall.logic.forms import all_of, opposite
from steadfall.logic.nodes import Node, Previous, Read, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Input, Plan
from steadfall.roles import pressed


def is_pressed(item: Input) -> Node:
    """The button is not as it normally is."""
    now = Read(item.name, Type.BOOL)
    return opposite(now) if item.normal else now


@frozen
class Buttons:
    """Writes, once for each button, whether it has just been pressed."""

    sheet: Sheet
    plan: Plan
    rows: dict[str, Read] = field(factory=dict)

    def just_pressed(self, name: str) -> Node:
        """It is pressed, and was not in the scan before."""
        if name not in self.rows:
            item = self.plan.inputs[name]
            down = is_pressed(item)
            self.rows[name] = self.sheet.helper(pressed(name), down, item.at.own, initial=True)
        row = self.rows[name]
        return all_of((row, opposite(Previous(row.name, Type.BOOL))))
