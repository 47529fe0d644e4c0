"""Advice on goals and limits: reached already, never reached, or said twice.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece, Sensors, coldest, lumps
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Plan, Supply
from steadfall.source import Problem
from steadfall.units import shown


def goals_reached_already(plan: Plan) -> Advice:
    """A goal that holds before cooling begins."""
    starts, known = {body.name: body.start for body in lumps(plan)}, quantities(plan)
    for goal in plan.goals:
        start = starts.get(known[goal.of].owner) if goal.of in known else None
        if start is not None and (start < goal.value if goal.bound == "below" else start > goal.value):
            read = f"'{goal.of}' starts at {shown(start, 'temperature')} and has reached its goal already"
            yield Problem(goal.at.of("goal"), "goal-reached", "goal", read, "")


def goals_too_cold(plan: Plan) -> Advice:
    """A goal that neither the water nor the hall can reach."""
    sensors, floor = Sensors.of(plan), coldest(plan)
    for goal in plan.goals:
        seen = sensors.known.get(goal.of)
        if goal.bound != "below" or seen is None or sensors.starts(seen) is None:
            continue
        wanted, water = shown(goal.value, "temperature"), _coldest_water(plan)
        if goal.value <= floor:
            read = f"nothing in the plan is colder than {shown(floor, 'temperature')}, so it never gets there"
        elif water is not None and goal.value <= water.temperature:
            read = f"{wanted} is no warmer than '{water.name}' with {shown(water.temperature, 'temperature')}"
        elif goal.value < plan.ambient:
            read = f"{wanted} is colder than the hall with {shown(plan.ambient, 'temperature')}"
            read += "; it warms up again when the water stops"
        else:
            continue
        yield Problem(goal.at.of("goal"), "goal-too-cold", "goal", read, "a goal above water and hall")


def _coldest_water(plan: Plan) -> Supply | None:
    water = [supply for supply in plan.supplies.values() if supply.fluid == "water"]
    return min(water, key=lambda supply: supply.temperature, default=None)


def limit_twice(plan: Plan) -> Advice:
    """Two limits or goals on one quantity, of which one says nothing that the other does not say."""
    seen: dict[tuple[object, ...], int] = {}
    limits = [(one.of, one.measure, one.bound, one.between, one.window) for one in plan.limits]
    goals = [(one.of, one.bound) for one in plan.goals]
    said = [
        *((one.at, "limit", about) for one, about in zip(plan.limits, limits, strict=True)),
        *((one.at, "goal", about) for one, about in zip(plan.goals, goals, strict=True)),
    ]
    for at, key, about in said:
        before = seen.setdefault((key, *about), at.own.line)
        if before != at.own.line:
            read = f"line {before} has a {key} on the same already; the stricter of the two decides"
            yield Problem(at.own, "limit-twice", key, read, "one of them")


OF_PLANT: tuple[Piece, ...] = (goals_reached_already, goals_too_cold, limit_twice)
