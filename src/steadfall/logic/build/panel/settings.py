"""Settings: what the panel shows, kept within its ends, is what the controller works with.

Rule of this file: a setting is an input, and what the controller works with is a signal of its own. A level
counts at once. A time changes only in the first scan after power-up and in scans that begin with every
circuit idle, so that no clock is asked in mid-course for another time than the one it set out with.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadfall.logic.build.stages import IDLE
from steadfall.logic.forms import TRUE, all_of, any_of, at_least, choose, equal, ms, opposite, real, whole
from steadfall.logic.network import Input
from steadfall.logic.nodes import Compare, Node, Previous, Read, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.handed import DIGITS
from steadfall.plan.model import Plan, Setting
from steadfall.roles import Identity, Role, in_use, of_plant
from steadfall.roles import stage as stage_name
from steadfall.source import Mark
from steadfall.units import value_in


def panel(plan: Plan) -> Iterator[Input]:
    """What the panel shows, as inputs."""
    for item in plan.settings.values():
        kind, identity = type_of(item), Identity(Role.INPUT, of=item.name)
        first = _shown(item, item.default)
        yield Input(item.name, kind, first=first, retained=True, mark=item.at.own, identity=identity)


def on_panel(plan: Plan, values: Mapping[str, float]) -> dict[str, int | float]:
    """Values of settings in SI as the panel shows them."""
    return {name: _shown(plan.settings[name], value) for name, value in values.items()}


def settings(sheet: Sheet, plan: Plan) -> None:
    """Writes what the controller works with."""
    if not plan.settings:
        return
    mark = plan.at.of("settings")
    times = [item for item in plan.settings.values() if item.is_time]
    may = _may_set(sheet, plan, mark) if times else TRUE
    for item in plan.settings.values():
        wish, kind = in_use(item.name), type_of(item)
        kept = choose(may, _within(item), Previous(wish.name, kind)) if item.is_time else _within(item)
        sheet.put(wish, kept, item.at.own, _shown(item, item.default))


def _may_set(sheet: Sheet, plan: Plan, mark: Mark) -> Node:
    """Whether times are taken over in this scan."""
    ran = sheet.free(of_plant(Role.RAN))
    idle = all_of(equal(Previous(stage_name(name), Type.INT), whole(IDLE)) for name in plan.circuits)
    may = sheet.helper(of_plant(Role.MAY_SET), any_of((opposite(Previous(ran.name, Type.BOOL)), idle)), mark)
    sheet.put(ran, TRUE, mark)
    return may


def type_of(item: Setting) -> Type:
    """What a setting is to the controller."""
    return Type.TIME if item.is_time else Type.REAL


def _within(item: Setting) -> Node:
    """What the panel shows, kept within the ends; what is not a number is the low end."""
    shown, label = Read(item.name, type_of(item)), item.name
    low, high = (_shown(item, end) for end in (item.low, item.high))
    ends = (low, f"{label}.least"), (high, f"{label}.most")
    least, most = (ms(int(end), word) if item.is_time else real(end, word) for end, word in ends)
    return choose(at_least(shown, least), choose(Compare(">", shown, most), most, shown), least)


def _shown(item: Setting, value: float) -> int | float:
    """A value as the panel shows it: a time in ms, a level in the unit of the setting."""
    if item.is_time:
        return round(value * 1000)
    return value if item.dimension == "percent" else round(value_in(value, item.unit, item.dimension), DIGITS)
