"""Limit switches: a valve that does not follow its command in time disagrees."""

from __future__ import annotations

from steadfall.logic.build.conditions import Scope, input_named
from steadfall.logic.forms import different, ms
from steadfall.logic.nodes import Previous, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import Plan


def disagreements(sheet: Sheet, plan: Plan) -> None:
    """Writes `upper.flood.disagrees`: switch and command (of the last scan) have differed for the time
    allowed.
    """
    for one in limit_switches(plan):
        name = one.command.name
        switch = input_named(sheet, Scope(plan, name, one.circuit or None), one.feedback.input)
        within = ms(one.feedback.within_ms, f"{one.valve.name}.feedback_within")
        node = Ton(different(Previous(name, Type.BOOL), switch), within)
        sheet.put(one.disagrees, node, one.feedback.at.own)
