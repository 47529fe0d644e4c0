"""The limit switches of valves, of circuits and in supplies: what each stands beside, and what it shows."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall import roles
from steadfall.plan.model import Feedback, MainValve, Plan, Valve
from steadfall.roles import Named, Role


@frozen
class LimitSwitch:
    """A valve that has one, by its command, and the signal that says that the two disagree."""

    command: Named
    valve: Valve | MainValve
    feedback: Feedback
    disagrees: Named
    circuit: str = ""


def limit_switches(plan: Plan) -> Iterator[LimitSwitch]:
    """Those of the circuits, in their order, then those of main valves."""
    for name, circuit in plan.circuits.items():
        kind = plan.circuit_types.get(circuit.type)
        for valve in kind.valves.values() if kind else ():
            if valve.feedback is not None:
                shows = roles.of_valve(Role.DISAGREES, name, valve.name)
                yield LimitSwitch(roles.command(name, valve.name), valve, valve.feedback, shows, name)
    for main in plan.main_valves.values():
        if main.feedback is not None:
            own, shows = (roles.feeder(role, main.name) for role in (Role.MAIN, Role.DISAGREES))
            yield LimitSwitch(own, main, main.feedback, shows)
