"""How much heat the goals ask a circuit to take away, and the water that carries it.

Heat: that of all bodies and gas streams' casings which are linked to the circuit's host, from their start to
the goal's temperature, and what their heating still gives, shared evenly by the circuits on them, in the
goal's time. What is lost to ambient, and what evaporates, is left out: both help. At the end of the cool-down
water leaves no hotter than the goal, so that each kilogram then carries c (T_goal - T_in) and no more.
"""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Dose, Goal, Plan, Stage
from steadfall.plan.model.equipment import Heating
from steadfall.plan.model.sequence import Action, CircuitType, Pulses
from steadfall.plant.law.properties import C_L


@frozen
class Need:
    """W that a circuit must take away on average for a goal, and the goal."""

    goal: Goal
    heat: float

    def water(self, temperature: float) -> float:
        """kg/s of water that carries it when it comes in at a temperature; without bound where that is no
        colder than the goal.
        """
        rise = self.goal.value - temperature
        return self.heat / (C_L * rise) if rise > 0.0 else math.inf


def need(plan: Plan, circuit: str) -> Need | None:
    """What the goal that asks most of a circuit asks; None without a goal on what it cools."""
    linked = _linked(plan, plan.circuits[circuit].host)
    sharing = sum(one.host in linked for one in plan.circuits.values())
    known, found = quantities(plan), []
    for goal in plan.goals:
        seen = known[goal.of]
        if goal.bound == "below" and seen.dimension == "temperature" and seen.owner in linked:
            heat = _heat(plan, linked, goal) / goal.within / sharing
            found.append(Need(goal, heat))
    return max(found, key=lambda one: one.heat, default=None)


def _linked(plan: Plan, host: str) -> set[str]:
    """The host and all bodies and streams that heat reaches from it, but for ambient."""
    things = {*plan.bodies, *plan.gas_streams}
    found, fresh = {host}, {host}
    while fresh:
        reached = {b for link in plan.links for a, b in (link.between, link.between[::-1]) if a in fresh}
        fresh = (reached & things) - found
        found |= fresh
    return found


def _heat(plan: Plan, linked: set[str], goal: Goal) -> float:
    stored = (
        body.mass * body.heat_capacity * max(body.start - goal.value, 0.0)
        for name, body in plan.bodies.items()
        if name in linked
    )
    heatings = {name: one.heating for name, one in plan.bodies.items()}
    heatings |= {name: one.heating for name, one in plan.gas_streams.items()}
    heated = (_given(one, goal.within) for name, one in heatings.items() if name in linked)
    return sum(stored) + sum(heated)


def _given(heating: Heating | None, within: float) -> float:
    """J that a heating gives in a time."""
    if heating is None:
        return 0.0
    time = within if heating.until is None else min(heating.until, within)
    if heating.time_constant is None:
        return heating.power * time
    return heating.power * heating.time_constant * (1.0 - math.exp(-time / heating.time_constant))


def duty(action: Action) -> float:
    """The share of its stage that a valve is open in the long run."""
    if isinstance(action, Dose) and action.for_ms is not None:
        if isinstance(action.then, Pulses):
            return action.then.open_ms / (action.then.open_ms + action.then.shut_ms)
        return float(action.then == "open")
    return action.open_ms / (action.open_ms + action.shut_ms) if isinstance(action, Dose) else 1.0


def last_wet(plan: Plan, kind: CircuitType) -> Stage | None:
    """The last stage of a circuit type in which water is let in."""
    return next((stage for stage in reversed(kind.stages) if waters(plan, kind, stage)), None)


def waters(plan: Plan, kind: CircuitType, stage: Stage) -> tuple[str, ...]:
    """The water valves that a stage opens."""
    return tuple(
        name
        for name in stage.actions
        if (supply := kind.valves[name].supply) and plan.supplies[supply].fluid == "water"
    )
