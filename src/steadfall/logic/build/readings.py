"""Measured inputs as the controller works with them.

Rule of this file: whatever looks at a measured value takes it from here. An input that is worked with as it
is has no row of its own; one that goes on with a value while its sensor is bad has `NAME.value`. Whether a
sensor is bad is judged by what it shows.
"""

from __future__ import annotations

from steadfall.logic.forms import all_of, choose, less, opposite, real
from steadfall.logic.nodes import Compare, Node, Read, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import Input, Plan
from steadfall.roles import Role, of_input
from steadfall.units import value_in

DIGITS = 9  # 140 degC, kept as 413.15 K, is 140 again and not 139.99999999999997


def in_unit(source: Input, value: float) -> float:
    """An SI value in the unit in which the controller works with an input."""
    return value if source.kind == "percent" else round(value_in(value, source.unit, source.kind), DIGITS)


def readings(sheet: Sheet, plan: Plan) -> None:
    """Writes what the controller works with, above everything that asks for it."""
    for item in plan.inputs.values():
        reading(sheet, plan, item.name)


def reading(sheet: Sheet, plan: Plan, name: str) -> Read:
    """A measured input as the controller works with it."""
    item = plan.inputs[name]
    shown = Read(name, Type.BOOL if item.is_digital else Type.REAL)
    if item.when_bad != "go on":
        return shown
    wish = of_input(Role.VALUE, name, input_identity(plan, name))
    if wish.name in sheet.types:
        return Read(wish.name, Type.REAL)
    instead = real(in_unit(item, item.substitute), f"{name}.instead")
    mark = item.at.of("when_bad")
    return sheet.put(wish, choose(is_bad(item), instead, shown), mark)


def is_bad(item: Input) -> Node:
    """The sensor of an input is out of its range."""
    low, high = (in_unit(item, end) for end in item.good)
    shown = Read(item.name, Type.REAL)
    # "Not above low and below high" also catches a value that is not a number.
    return opposite(all_of((Compare(">", shown, real(low)), less(shown, real(high)))))
