"""Advice on what guards the process: ratings, relief valves, permissives, trips and their reset.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece, Sensors, signed, supplies_of
from steadfall.plan.meaning.conditions import controller_conditions, walk
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import ButtonCall, Call, Demand, Plan
from steadfall.plan.model.condition import And, Compare, Not, Or, Signal
from steadfall.plan.model.setting import settings_of
from steadfall.quantities import CIRCUIT_PRESSURE
from steadfall.source import Problem
from steadfall.units import shown


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


def nothing_guards(plan: Plan) -> Advice:
    """A plan without permissives and without a look at the pressure."""
    if not plan.permissives:
        yield Problem(
            plan.at.own, "no-permissive", "permissives", "nothing shuts the water", "what must hold for water"
        )
    known = quantities(plan)
    switches = {item.name for item in plan.inputs.values() if item.changes}
    pressures = {name for name in switches if known[str(plan.inputs[name].measures)].dimension == "pressure"}
    trips = [part for trip in plan.trips for part in walk(trip.when)]
    if not any(
        (isinstance(part, Compare) and part.dimension == "pressure")
        or (isinstance(part, Signal) and part.name in pressures)
        for part in trips
    ):
        read = "no trip watches a pressure"
        yield Problem(plan.at.of("trips"), "no-pressure-trip", "trips", read, "a trip on steam back-pressure")


def relief_below_supply(plan: Plan) -> Advice:
    """A relief valve that lifts below the supply blows whenever the way out is blocked."""
    for kind in plan.circuit_types.values():
        relief = kind.relief
        own = {one.name: one for one in supplies_of(plan, kind)}.values() if relief else ()
        supply = max(own, key=lambda one: one.pressure, default=None)
        if relief and supply and relief.opens_at <= supply.pressure:
            read = f"it lifts at {shown(relief.opens_at, 'pressure')}, and '{supply.name}' has"
            read += f" {shown(supply.pressure, 'pressure')}: it blows whenever the outlet is blocked"
            expected = "a higher pressure, or a reducer in the supply"
            yield Problem(relief.at.of("opens_at"), "relief-below-supply", "opens_at", read, expected)


def trip_above_rating(plan: Plan) -> Advice:
    """A trip that waits for more pressure than the circuit may have comes too late."""
    sensors = Sensors.of(plan)
    for stated in controller_conditions(plan):
        for part, straight in signed(stated.condition) if stated.role == "trip" else ():
            if not isinstance(part, Compare) or (part.op in (">", ">=")) is not straight:
                continue
            seen = sensors.measured(sensors.named(part.name, stated))
            if seen is None or seen.quantity is not CIRCUIT_PRESSURE:
                continue
            kind = plan.type_of(seen.owner)
            most = max((one.high for one in settings_of(part.value)), default=part.value)
            if most > kind.rated:
                trips = "it trips at" if most == part.value else "it may be set to trip at"
                read = f"{trips} {shown(most, 'pressure')}, above the rated"
                read += f" {shown(kind.rated, 'pressure')} of line {kind.at.of('rated').line}"
                yield Problem(part.mark, "trip-above-rating", "when", read, "less than the rated pressure")


def reset_by_call(plan: Plan) -> Advice:
    """A trip that the call itself resets starts cooling again with nobody looking."""
    calls: dict[str, int] = {call.of: call.at.own.line for call in plan.calls if isinstance(call, Demand)}
    calls |= {call.start: call.at.own.line for call in plan.calls if isinstance(call, ButtonCall)}
    conditions = list(controller_conditions(plan))
    for stated in conditions:
        for part, straight in signed(stated.condition) if stated.role in ("call", "ramp") else ():
            if isinstance(part, Signal | Compare) and straight:
                calls.setdefault(part.name, part.mark.line)
    for stated in conditions:
        for part, straight in signed(stated.condition) if stated.role == "reset" else ():
            if isinstance(part, Signal | Compare) and straight and part.name in calls:
                read = f"'{part.name}' calls for cooling (line {calls[part.name]}) and resets the trip too"
                yield Problem(part.mark, "reset-by-call", "reset", read, "a button of its own")


def nothing_ends_cooling(plan: Plan) -> Advice:
    """A call by switch or button that nothing ends lets water run until somebody comes."""
    for call in plan.calls if plan.done is None else ():
        if isinstance(call, ButtonCall) or (
            isinstance(call, Call)
            and all(isinstance(part, Signal | Not | And | Or) for part in walk(call.when))
        ):
            read = f"nothing in the plan ends a cool-down: water runs until somebody {ends_by(call)}"
            yield Problem(call.at.own, "nothing-ends", "calls", read, "`done`", example="done: {when: ...}")
            return


def ends_by(call: Call | ButtonCall) -> str:
    """How a person ends a call."""
    return f"presses '{call.stop}'" if isinstance(call, ButtonCall) else "lets go of the call"


def stop_by_broken_wire(plan: Plan) -> Advice:
    """A stop button that is normally off does not stop when its wire is broken (common practice)."""
    for call in plan.calls:
        if isinstance(call, ButtonCall) and not plan.inputs[call.stop].normal:
            read = f"'{call.stop}' is normally off: with a broken wire it does not stop"
            yield Problem(
                call.at.of("stop"), "stop-not-closed", "stop", read, "one wired closed", example="normal: on"
            )


PIECES: tuple[Piece, ...] = (nothing_guards, reset_by_call, nothing_ends_cooling, stop_by_broken_wire)
OF_PLANT: tuple[Piece, ...] = (rated_below_supply, relief_below_supply, trip_above_rating)
