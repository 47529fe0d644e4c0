"""Outputs by condition: lamps, horn, pumps, releases.

Rule of this file: they come last in the scan and see what it has made; another output they see as the scan
before left it. An on-delay comes before an off-delay. A flashing output begins with being on, in the scan in
which it is due.
"""

from __future__ import annotations

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.stages import FIRST, last_stage
from steadfall.logic.forms import all_of, any_of, at_least, choose, different, less, ms, opposite, whole
from steadfall.logic.nodes import Compare, Node, Previous, Read, Since, Tof, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.model import Output, Plan
from steadfall.plan.model.setting import high_end
from steadfall.roles import Role, of_output, of_plant, output
from steadfall.roles import stage as stage_name


def running(sheet: Sheet, plan: Plan) -> None:
    """Writes whether cooling runs anywhere, where something asks for it."""
    if not (plan.outputs or plan.alarms or plan.counters):
        return
    stages = []
    for name in plan.circuits:
        stage = Read(stage_name(name), Type.INT)
        last = whole(last_stage(plan.type_of(name)))
        stages.append(all_of((at_least(stage, whole(FIRST)), Compare("<=", stage, last))))
    sheet.put(of_plant(Role.RUNNING), any_of(stages), plan.at.of("circuits"))


def lamps(sheet: Sheet, plan: Plan) -> tuple[str, ...]:
    """Writes every output of the plan; gives their names."""
    for item in plan.outputs.values():
        _lamp(sheet, plan, item)
    return tuple(output(name).name for name in plan.outputs)


def _lamp(sheet: Sheet, plan: Plan, item: Output) -> None:
    own, mark = output(item.name), item.at.own
    scope = Scope(plan, own.name, before=SEEN_BEFORE["output"], serves=own.identity)
    due = delayed(sheet, item, build(item.on, sheet, scope))
    sheet.put(own, _flashing(sheet, item, due) if item.flash_ms else due, mark)


def delayed(sheet: Sheet, item: Output, due: Node) -> Node:
    """The condition with its delays."""
    mark = item.at.own
    if item.on_after_ms:
        on = Ton(due, ms(item.on_after_ms, f"{item.name}.on_after"))
        due = sheet.helper(of_output(Role.ON_DELAY, item.name), on, mark)
    if item.off_after_ms:
        off = Tof(due, ms(item.off_after_ms, f"{item.name}.off_after"))
        due = sheet.helper(of_output(Role.OFF_DELAY, item.name), off, mark)
    return due


def _flashing(sheet: Sheet, item: Output, due: Node) -> Node:
    """On and off in turn while it is due."""
    mark, half = item.at.own, ms(item.flash_ms, f"{item.name}.flashes")
    wanted = sheet.helper(of_output(Role.WANTED, item.name), due, mark)
    turned, lit = (sheet.free(of_output(role, item.name)) for role in (Role.FLASH_TURN, Role.FLASH))
    since = Since(turned.name, high_end(item.flash_ms))
    time = sheet.helper(of_output(Role.FLASH_TIME, item.name), since, mark)
    last = Previous(lit.name, Type.BOOL)
    begins = opposite(Previous(wanted.name, Type.BOOL))
    phase = any_of((begins, choose(last, less(time, half), at_least(time, half))))
    now = sheet.put(lit, all_of((wanted, phase)), mark)
    sheet.put(turned, different(now, last), mark)
    return now
