"""The list of alarms: cause, consequence, response, priority, as ISA-18.2 asks for each.

Rule of this file: what the plan says is listed; the priorities are proposals by one rule, for the owner to
settle.
"""

from __future__ import annotations

from steadfall.lists.sheet import Sheet
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import word
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import Condition, Held, Signal
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.speak import speak
from steadfall.roles import Role, alarm, of_valve
from steadfall.st.write.unit import origin

HEADINGS = ("number", "alarm", "signal", "cause", "delay", "consequence", "response", "priority", "plan")
RULE = (
    "Where the plan gives none, priorities are proposed by one rule: a trip is high, a permissive that cuts "
    "all water medium, all else low. "
    "The owner settles them by consequence and by the time there is to respond (ISA-18.2, rationalization)."
)


def alarms(plan: Plan) -> Sheet:
    """One row for each trip, each alarm of the plan, each permissive, each valve that is watched."""
    rows = [*_trips(plan), *_stated(plan), *_permissives(plan), *_feedback(plan)]
    numbered = tuple((str(number), *row) for number, row in enumerate(rows, 1))
    return Sheet("alarms", HEADINGS, numbered, (RULE,))


def _delay(condition: Condition) -> str:
    held = [part.ms for part in walk(condition) if isinstance(part, Held)]
    return time(max(held)) if held else "none"


def _trips(plan: Plan) -> list[tuple[str, ...]]:
    end = "cooling ends in every circuit, all water shuts at once, the finish runs; stays so until reset"
    found: list[tuple[str, ...]] = []
    for item in plan.trips:
        response = (
            f"Stay clear of outlets and drains. Find what caused it and mend it; when it is gone, reset with "
            f"{speak(item.reset)}."
        )
        signal = f"trip: {item.name}"
        found.append(
            (
                item.name,
                signal,
                speak(item.when),
                _delay(item.when),
                end,
                response,
                "high",
                origin([item.at.own]),
            )
        )
    return found


def _stated(plan: Plan) -> list[tuple[str, ...]]:
    """The plan's own alarms, each with the priority that it has there."""
    end = "none in the sequence; it stands until it is gone and acknowledged"
    found: list[tuple[str, ...]] = []
    for item in plan.alarms:
        signal, cause = alarm(Role.ALARM, word(item.name), item.name).name, speak(item.when)
        response = "Find what caused it and mend it; acknowledge."
        mark = origin([item.at.own])
        found.append((item.name, signal, cause, _delay(item.when), end, response, item.priority, mark))
    return found


def _permissives(plan: Plan) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for item in plan.permissives:
        where = "all water" if item.all_water else ", ".join(item.valves)
        end = f"{where} shuts at once and stays shut until it is back"
        end += "; the finish runs" if item.all_water else "; the sequence goes on without"
        again = "cooling then goes on of itself" if plan.restarts else "then call anew; cooling goes on"
        response = f"Bring back {item.name}; {again}, beginning with the first stage."
        if not item.all_water:
            response = f"Bring back {item.name}; the valves then follow the sequence again of themselves."
        priority = "medium" if item.all_water else "low"
        cause = f"not ({speak(item.needs)})"
        signal = f"permissive: {item.name}"
        mark = origin([item.at.own])
        found.append((f"{item.name} lost", signal, cause, _delay(item.needs), end, response, priority, mark))
    return found


def _feedback(plan: Plan) -> list[tuple[str, ...]]:
    tripping = {part.name for trip in plan.trips for part in walk(trip.when) if isinstance(part, Signal)}
    found: list[tuple[str, ...]] = []
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            if valve.feedback is None:
                continue
            name = f"{circuit}.{valve.name}"
            signal = of_valve(Role.DISAGREES, circuit, valve.name).name
            trips = signal in tripping
            end = "a trip, see there" if trips else "none in the sequence: the valve may be stuck"
            cause = f"{valve.feedback.input} and the command differ for {time(valve.feedback.within_ms)}"
            response = "See whether the valve moves; mend valve, air or switch."
            priority = "high" if trips else "low"
            delay, mark = time(valve.feedback.within_ms), origin([valve.feedback.at.own])
            row = (
                f"{name}: limit switch disagrees",
                signal,
                cause,
                delay,
                end,
                response,
                priority,
                mark,
            )
            found.append(row)
    return found
