"""Goals and limits that no doses keep, as sums before any run show: colder than all there is, sooner than a
limit lets it fall, a pressure below that behind the outlet, no shock at all.
"""

from __future__ import annotations

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Goal, Limit, Plan
from steadfall.plan.problems import Problems
from steadfall.quantities import CIRCUIT_PRESSURE, WALL_SHOCK, clock
from steadfall.units import shown

GOAL = "{goal: splice below 70 degC, within: 40 min}"
PRESSURE = "{of: upper.pressure, at most: 6 barg}"
SHOCK = "{of: upper.wall_shock, at most: 40 K}"


def forbidden(plan: Plan, problems: Problems) -> None:
    """Every goal and limit of a plan that nothing can keep."""
    for goal in plan.goals:
        if goal.bound == "below" and quantities(plan)[goal.of].dimension == "temperature":
            _too_cold(plan, goal, problems)
            for limit in plan.limits:
                _too_soon(plan, goal, limit, problems)
    for limit in plan.limits:
        if (limit.measure, limit.bound) == ("value", "at_most"):
            _too_low(plan, limit, problems)


def _too_cold(plan: Plan, goal: Goal, problems: Problems) -> None:
    """Nothing gets colder than the coldest of water, air and hall."""
    coldest = min(plan.ambient, *(one.temperature for one in plan.supplies.values()))
    if goal.value <= coldest:
        read = f"'{goal.text}' is below {shown(coldest, 'temperature')}, the coldest that the plan has"
        problems.add(goal.at.own, "goal-beyond-physics", "goal", read, "a temperature above it", example=GOAL)


def _too_soon(plan: Plan, goal: Goal, limit: Limit, problems: Problems) -> None:
    """What may only fall so fast takes its time; a fall within one window of the limit is not counted."""
    if (limit.of, limit.measure, limit.bound) != (goal.of, "fall_rate", "at_most") or limit.value <= 0.0:
        return
    begin = _start(plan, quantities(plan)[goal.of].owner)
    upper, lower = limit.between or (begin, goal.value)
    least = (min(upper, begin) - max(lower, goal.value)) / limit.value - limit.window
    if least > goal.within:
        by = f"'{limit.text}' of line {limit.at.own.line}"
        read = f"'{goal.text}' takes {clock(1000 * least)} at least by {by}"
        problems.add(
            goal.at.own, "goal-against-rate", "goal", read, "a later time, or a faster fall", example=GOAL
        )


def _too_low(plan: Plan, limit: Limit, problems: Problems) -> None:
    """A circuit stands at the pressure behind its outlet at least; metal that is cooled has some shock."""
    for name in plan.circuits:
        back = plan.type_of(name).outlet.pressure
        if limit.of == CIRCUIT_PRESSURE.named(name) and limit.value <= back:
            read = f"'{limit.text}' is not above {shown(back, 'pressure')}, the pressure behind the outlet"
            problems.add(
                limit.at.own, "limit-beyond-physics", "of", read, "a higher pressure", example=PRESSURE
            )
        if limit.of == WALL_SHOCK.named(name) and limit.value <= 0.0:
            read = f"'{limit.text}' allows no shock, and metal that water cools has some"
            problems.add(limit.at.own, "limit-beyond-physics", "of", read, "more than 0 K", example=SHOCK)


def _start(plan: Plan, owner: str) -> float:
    return plan.bodies[owner].start if owner in plan.bodies else plan.gas_streams[owner].start
