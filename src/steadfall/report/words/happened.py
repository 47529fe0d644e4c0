"""What the controller was shown and what it made of it: switches, permissives, trips, alarms, main valves,
pumps, outputs, and their changes.
"""

from __future__ import annotations

from collections.abc import Iterable

from attrs import frozen

from steadfall.plan.meaning.names import alarm_titles, holding, word
from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import clock
from steadfall.report.words.names import spoken
from steadfall.roles import Role, alarm, of_plant, titled
from steadfall.trace.trace import Trace

MOST = 80  # rows of events


@frozen
class Watched:
    """A true/false signal of the controller that a reader looks for, and what it is called."""

    name: str
    words: str
    values: tuple[str, str] = ("off", "on")


def watched(prediction: Prediction) -> tuple[Watched, ...]:
    """Switches that a person or another system sets, then permissives, trips and what ends a cool-down, then
    main valves and pumps, alarms and outputs.
    """
    tracks = prediction.trace.tracks
    return tuple(one for one in wanted(prediction.plan) if one.name in tracks and tracks[one.name].step)


def changing(trace: Trace, seen: Iterable[Watched]) -> list[Watched]:
    """Those that changed; a report draws a strip of these alone."""
    return [one for one in seen if len(trace.changes(one.name)) > 1]


def steady(trace: Trace, seen: Iterable[Watched]) -> str:
    """The others in words: what was on all the time, and what never was."""
    found: dict[str, list[str]] = {}
    for one in seen:
        changes = trace.changes(one.name)
        if len(changes) == 1:
            on = one.values[1]
            how = f"{on} all the time" if changes[0][1] else f"never {on}"
            found.setdefault(how, []).append(one.words)
    told = sorted(found.items(), key=lambda row: row[0].startswith("never"))
    return " ".join(f"{how[0].upper()}{how[1:]}: {', '.join(names)}." for how, names in told)


def wanted(plan: Plan) -> list[Watched]:
    """The same of a plan, whether there is a track of it or not."""
    held = {holding(plan, one): one.name for one in plan.permissives}
    switches = [item.name for item in plan.inputs.values() if item.is_digital and item.measures is None]
    found = [Watched(name, spoken(name)) for name in switches if name not in held]
    found += [Watched(name, f"permissive: {title}") for name, title in held.items()]
    trips = ((titled(Role.TRIP, word(one.name), one.name), one.name) for one in plan.trips)
    found += [Watched(signal.name, f"trip: {name}") for signal, name in trips]
    ends = {Role.TRIPPED: "tripped", Role.DONE: "done", Role.IN_HAND: "in hand"}
    ends |= {Role.IN_TEST: "in test", Role.ON_HOLD: "on hold"}
    found += [Watched(of_plant(role).name, words) for role, words in ends.items()]
    found += [Watched(name, f"main valve: {spoken(name)}", ("shut", "open")) for name in plan.main_valves]
    found += [Watched(name, f"pump: {spoken(name)}") for name in plan.pumps]
    found += [Watched(alarm(Role.ALARM, word(one), one).name, f"alarm: {one}") for one in alarm_titles(plan)]
    steady = [one.name for one in plan.outputs.values() if not one.flash_ms]  # a flash is no event
    return [*found, *(Watched(name, spoken(name)) for name in steady)]


def events(prediction: Prediction) -> list[tuple[str, str, str]]:
    """Moment, signal, value, in order of time: what is on at the start, then every change; of very many the
    first, and how many more.
    """
    found = [
        (when, one.words, one.values[bool(value)], bool(value) or place > 0)
        for one in watched(prediction)
        for place, (when, value) in enumerate(prediction.trace.changes(one.name))
    ]
    told = sorted((row[:3] for row in found if row[3]), key=lambda row: row[0])
    rows = [(clock(when, fine=True), words, value) for when, words, value in told[:MOST]]
    more = len(told) - MOST
    return rows if more <= 0 else [*rows, ("", f"and {more} more, in events.csv", "")]
