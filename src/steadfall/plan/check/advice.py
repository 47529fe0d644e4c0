"""Advice: what a plan may say, but what a careful technician would look at again.

Rule of this file: advice never fails a plan. Each function is one piece of trade experience (common
practice).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from steadfall.plan.check.equipment import water_valves
from steadfall.plan.meaning.conditions import climbs, controller_conditions, walk
from steadfall.plan.meaning.names import quantities, resolve, signals
from steadfall.plan.model import Body, CircuitType, Demand, Dose, GasStream, Plan, Share, Stage
from steadfall.plan.model.condition import After, And, Compare, Held, Not, Or
from steadfall.roles import Role
from steadfall.source import Problem
from steadfall.units import shown

Advice = Iterator[Problem]


def _air_valves(plan: Plan, kind: CircuitType) -> list[str]:
    return [v.name for v in kind.valves.values() if v.supply and plan.supplies[v.supply].fluid == "air"]


def _stages(plan: Plan) -> Iterator[tuple[CircuitType, Stage]]:
    for kind in plan.circuit_types.values():
        yield from ((kind, stage) for stage in kind.stages)


def carrier_air_blocks_water(plan: Plan) -> Advice:
    """Air at more pressure than the water holds the water's check valve shut while both are open."""
    for kind, stage in _stages(plan):
        for air in set(stage.actions) & set(_air_valves(plan, kind)):
            for water in sorted(set(stage.actions) & set(water_valves(plan, kind))):
                blows, wets = (plan.supplies[kind.valves[name].supply or ""] for name in (air, water))
                if blows.pressure >= wets.pressure:
                    read = (
                        f"carrier air at {shown(blows.pressure, 'pressure')} may block water at "
                        f"{shown(wets.pressure, 'pressure')} while '{air}' and '{water}' are both open"
                    )
                    expected = "less air pressure than water pressure"
                    yield Problem(stage.at.of(f"key {water}"), "air-blocks-water", stage.name, read, expected)


def dose_without_air(plan: Plan) -> Advice:
    """A dose that no air carries lies in the first bends and boils there."""
    for kind, stage in _stages(plan):
        dosed = [name for name, action in stage.actions.items() if isinstance(action, Dose | Share)]
        if dosed and not set(stage.actions) & set(_air_valves(plan, kind)):
            read = f"'{dosed[0]}' doses water that no air carries through the circuit"
            yield Problem(
                stage.at.of(f"key {dosed[0]}"), "dose-without-air", stage.name, read, "an open air valve"
            )


def free_clock_clips(plan: Plan) -> Advice:
    """A stage that begins in mid-phase of a shared clock gets a first dose of any length."""
    for _, stage in _stages(plan):
        for name, action in stage.actions.items():
            if isinstance(action, Dose) and action.clock == "free":
                read = f"the first dose of '{name}' may last anything up to {action.open_ms} ms"
                yield Problem(
                    action.at.of("clock"), "clipped-dose", stage.name, read, "'restart', if that matters"
                )


def share_shorter_than_valve(plan: Plan) -> Advice:
    """A share of a cycle that is shorter than the valve can open is skipped: the smallest call gives no
    water.
    """
    lowest = {call.of: min(call.thresholds.values()) for call in plan.calls if isinstance(call, Demand)}
    for kind, stage in _stages(plan):
        for name, action in stage.actions.items():
            if isinstance(action, Share) and action.of in lowest:
                least, shortest = (
                    lowest[action.of] / 100 * action.cycle_ms,
                    kind.valves[name].shortest_open_ms,
                )
                if least < shortest:
                    share = f"{lowest[action.of]:g} % of the cycle is {least:.0f} ms"
                    read = f"{share}, under the {shortest} ms that '{name}' needs, and is skipped"
                    yield Problem(action.at.of("cycle"), "skipped-dose", stage.name, read, "a longer cycle")


def rated_below_supply(plan: Plan) -> Advice:
    """A circuit that is blocked in takes the full pressure of its supply."""
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            supply = plan.supplies.get(valve.supply or "")
            if supply and supply.pressure > kind.rated:
                read = f"'{supply.name}' at {shown(supply.pressure, 'pressure')} is above the rated pressure"
                yield Problem(
                    kind.at.of("rated"),
                    "rated-below-supply",
                    kind.name,
                    read,
                    "a pressure reducer in the supply",
                )


def water_stays(plan: Plan) -> Advice:
    """Water that stays in a hot circuit boils off for minutes."""
    for kind in plan.circuit_types.values():
        air = _air_valves(plan, kind)
        opened = {name for step in kind.finish for name in step.actions}
        drained = [
            v.name
            for v in kind.valves.values()
            if v.supply is None and (v.name in opened or v.rest == "open")
        ]
        if not opened & set(air) and not drained:
            read = "the finish neither blows out nor drains, so water stays in the hot circuit"
            yield Problem(
                kind.at.of("finish"), "water-stays", kind.name, read, "a step that opens air or a drain"
            )


def idle_after_power_cut(plan: Plan) -> Advice:
    """After a power cut the circuit may be hot and hold water."""
    for kind in plan.circuit_types.values():
        if kind.cold_start == "idle":
            read = "after a power cut the circuit may be hot and hold water, and nothing empties it"
            yield Problem(kind.at.of("cold_start"), "cold-start", kind.name, read, "finish")


def nothing_guards(plan: Plan) -> Advice:
    """A plan without permissives and without a look at the pressure."""
    if not plan.permissives:
        yield Problem(
            plan.at.own, "no-permissive", "permissives", "nothing shuts the water", "what must hold for water"
        )
    trips = [part for trip in plan.trips for part in walk(trip.when)]
    if not any(isinstance(part, Compare) and part.dimension == "pressure" for part in trips):
        read = "no trip watches a pressure"
        yield Problem(plan.at.of("trips"), "no-pressure-trip", "trips", read, "a trip on steam back-pressure")


def climb_by_time_alone(plan: Plan) -> Advice:
    """A climb that looks at nothing floods hot metal when a dose valve has failed."""
    seen = set()
    for stated in climbs(plan):
        mark = stated.condition.mark
        if mark not in seen and all(
            isinstance(part, After | And | Or | Held | Not) for part in walk(stated.condition)
        ):
            seen.add(mark)
            read = "this climb looks at the clock only, however hot the circuit is"
            yield Problem(mark, "climb-by-time", "climb", read, "a temperature as well")


def _lumps(plan: Plan) -> list[Body | GasStream]:
    return [*plan.bodies.values(), *plan.gas_streams.values()]


def unused(plan: Plan) -> Advice:
    """What is described and never used."""
    valves = [valve for kind in plan.circuit_types.values() for valve in kind.valves.values()]
    used_supplies = {valve.supply for valve in valves}
    used_types = {circuit.type for circuit in plan.circuits.values()}
    for supply in plan.supplies.values():
        if supply.name not in used_supplies:
            yield Problem(supply.at.own, "unused", supply.name, "no valve lets this supply in", "")
    for kind in plan.circuit_types.values():
        if kind.name not in used_types:
            yield Problem(kind.at.own, "unused", kind.name, "no circuit is of this type", "")
    ends = {name for link in plan.links for name in link.between} | {c.host for c in plan.circuits.values()}
    for body in _lumps(plan):
        if body.name not in ends:
            yield Problem(
                body.at.own, "unused", body.name, "nothing takes heat from it", "a link or a circuit"
            )
    yield from _unused_ramps(plan)


def _unused_ramps(plan: Plan) -> Advice:
    named = {call.of for call in plan.calls if isinstance(call, Demand)}
    named |= {a.of for _, stage in _stages(plan) for a in stage.actions.values() if isinstance(a, Share)}
    known = signals(plan)
    for stated in controller_conditions(plan):
        for part in walk(stated.condition):
            name = resolve(part.name, stated.circuit, known) if isinstance(part, Compare) else None
            if name and known[name].role in (Role.RAMP, Role.SET_POINT):
                named.add(known[name].identity.of)
    for ramp in plan.ramps.values():
        if ramp.name not in named:
            yield Problem(
                ramp.at.own, "unused", ramp.name, "nothing follows this ramp", "a call, or a share of a stage"
            )


def goals_reached_already(plan: Plan) -> Advice:
    """A goal that holds before cooling begins."""
    starts, known = {body.name: body.start for body in _lumps(plan)}, quantities(plan)
    for goal in plan.goals:
        start = starts.get(known[goal.of].owner) if goal.of in known else None
        if start is not None and (start < goal.value if goal.bound == "below" else start > goal.value):
            read = f"'{goal.of}' starts at {shown(start, 'temperature')} and has reached its goal already"
            yield Problem(goal.at.of("goal"), "goal-reached", "goal", read, "")


ADVICE: tuple[Callable[[Plan], Advice], ...] = (
    carrier_air_blocks_water,
    dose_without_air,
    free_clock_clips,
    share_shorter_than_valve,
    rated_below_supply,
    water_stays,
    idle_after_power_cut,
    nothing_guards,
    climb_by_time_alone,
    unused,
    goals_reached_already,
)


def advice(plan: Plan) -> tuple[Problem, ...]:
    """All the advice there is on a plan, in line order."""
    return tuple(sorted({problem for one in ADVICE for problem in one(plan)}))
