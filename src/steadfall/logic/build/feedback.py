"""Limit switches: a valve that does not follow its command in time disagrees."""

from __future__ import annotations

from steadfall.logic.build.conditions import Scope, input_named
from steadfall.logic.forms import different, ms
from steadfall.logic.nodes import Previous, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Plan
from steadfall.roles import Role, command, of_valve


def disagreements(sheet: Sheet, plan: Plan) -> None:
    """Writes `upper.flood.disagrees`: switch and command (of the last scan) have differed for the time
    allowed.
    """
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            if valve.feedback is None:
                continue
            name = command(circuit, valve.name).name
            switch = input_named(sheet, Scope(plan, name, circuit), valve.feedback.input)
            within = ms(valve.feedback.within_ms, f"{valve.name}.feedback_within")
            node = Ton(different(Previous(name, Type.BOOL), switch), within)
            sheet.put(of_valve(Role.DISAGREES, circuit, valve.name), node, valve.feedback.at.own)
