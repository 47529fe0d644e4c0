"""Judges outputs and alarms: their names, their flashing, and whether somebody can acknowledge.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.meaning.names import quantities, shown, valves, word
from steadfall.plan.model import Alarm, Counter, Output, Plan, Trip
from steadfall.plan.problems import Problems
from steadfall.roles import Role


def outputs_have_own_names(plan: Plan, problems: Problems) -> None:
    """An output, a counter, and what the controller makes to be shown, is called like nothing else."""
    seen = {name.lower(): f"the input '{name}'" for name in plan.inputs}
    seen |= {name.lower(): f"the ramp '{name}'" for name in plan.ramps}
    seen |= {name.lower(): f"the setting '{name}'" for name in plan.settings}
    seen |= {name.lower(): f"the command of the valve '{name}'" for name in valves(plan)}
    made = [one for one in shown(plan) if one.identity.role is not Role.OUTPUT]
    taken = {one.name.lower(): "what the controller makes" for one in made}
    for one in made:
        if other := seen.get(one.name.lower()):
            read = f"{other} has the name of what the controller makes to be shown"
            own = plan.inputs[one.name].at.own if one.name in plan.inputs else plan.at.own
            problems.add(own, "same-name", one.name, read, "another name")
    seen |= {name.lower(): "a quantity of the plant" for name in quantities(plan)} | taken
    shows: dict[str, Output | Counter] = {**plan.outputs, **plan.counters}
    for name, item in shows.items():
        if other := seen.get(name.lower()):
            problems.add(item.at.own, "same-name", name, f"{other} has this name already", "another name")
        seen[name.lower()] = f"the {'output' if name in plan.outputs else 'counter'} '{name}'"


def alarms_are_told_apart(plan: Plan, problems: Problems) -> None:
    """No two alarms, or an alarm and a trip, have names that are one word."""
    seen: dict[str, str] = {}
    rows: list[Trip | Alarm] = [*plan.trips, *plan.alarms]
    for item in rows if plan.acknowledge is not None or plan.alarms else ():
        other = seen.setdefault(word(item.name).lower(), item.name)
        if other is not item.name:
            read = f"'{item.name}' and '{other}' are one word in signals"
            problems.add(item.at.of("name"), "same-name", "name", read, "another name")


def alarms_are_acknowledged(plan: Plan, problems: Problems) -> None:
    """Alarms need somebody who acknowledges, and an acknowledgement needs alarms."""
    if plan.alarms and plan.acknowledge is None:
        read = "there are alarms, and nothing acknowledges them"
        place = plan.at.of("alarms")
        problems.add(place, "missing-key", "acknowledge", read, "a condition", example="acknowledge_button")
    if plan.acknowledge is not None and not (plan.alarms or plan.trips):
        read = "there is neither an alarm nor a trip to acknowledge"
        problems.add(plan.at.of("acknowledge"), "unused-key", "acknowledge", read, "alarms, or no such key")


def flashes_are_seen(plan: Plan, problems: Problems) -> None:
    """A flash is not shorter than the longest scan."""
    for item in plan.outputs.values():
        if 0 < item.flash_ms < plan.scan.longest_ms:
            read = f"{item.flash_ms} ms is shorter than the longest scan, so the flash could be missed"
            expected = f"at least {plan.scan.longest_ms} ms"
            problems.add(item.at.of("flashes"), "dose-too-short", "flashes", read, expected)


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    outputs_have_own_names,
    alarms_are_told_apart,
    alarms_are_acknowledged,
    flashes_are_seen,
)
