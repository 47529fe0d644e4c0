"""The list of alarms: cause, consequence, response, priority, as ISA-18.2 asks for each.

Rule of this file: what the plan says is listed; the priorities are proposals by one rule, for the owner to
settle.
"""

from __future__ import annotations

from steadfall.lists.sheet import Sheet
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import word
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import Condition, Held, Signal
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.speak import speak
from steadfall.roles import Role, alarm
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
    for one in limit_switches(plan):
        trips = one.disagrees.name in tripping
        end = "a trip, see there" if trips else "none in the sequence: the valve may be stuck"
        delay, mark = time(one.feedback.within_ms), origin([one.feedback.at.own])
        cause = f"{one.feedback.input} and the command differ for {delay}"
        response = "See whether the valve moves; mend valve, air or switch."
        name, priority = f"{one.command.name}: limit switch disagrees", "high" if trips else "low"
        found.append((name, one.disagrees.name, cause, delay, end, response, priority, mark))
    return found
