"""Judges a valve test: valves that exist and can be moved alone, and times in which each has done so.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from steadfall.plan.check.sequence import is_button, no_broken_wire
from steadfall.plan.meaning.aloud import together
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import excluded_by
from steadfall.plan.meaning.person.valve_test import Turn, moved, times_of, turns
from steadfall.plan.model import Plan, Valve, ValveTest
from steadfall.plan.problems import Problems
from steadfall.plan.text.lay_out import time


def valves_are_tested(plan: Plan, problems: Problems) -> None:
    """A button begins the test, and each name is that of a valve which can be moved."""
    test = plan.test
    if test is None:
        return
    is_button(plan, test.at.of("start"), "start", test.start, problems)
    no_broken_wire(plan, test.at.of("start"), "start", test.start, problems)
    place, known = test.at.of("valves"), valves(plan)
    if not test.valves:
        problems.add(place, "empty-value", "valves", "no valve is named", "valves", example="[sweep, mist]")
    unknown = [name for name in test.valves if name not in known]
    for name in unknown:
        problems.unknown(place, "valves", name, "valve", known)
    if unknown or any(one.type not in plan.circuit_types for one in plan.circuits.values()):
        return
    for turn in turns(plan):
        _can_move(plan, test, turn, problems)
    _has_time(plan, test, problems)


def _can_move(plan: Plan, test: ValveTest, turn: Turn, problems: Problems) -> None:
    """What must be open with a valve is not what it, or another of them, excludes."""
    together_open = (turn.valve, *turn.opened)
    pairs = [(one, other) for one in together_open for other in excluded_by(plan, one)]
    against = next((pair for pair in pairs if pair[1] in together_open), None)
    if against:
        read = f"'{turn.valve}' could never be opened: {together(against)} exclude each other"
        problems.add(test.at.of("valves"), "never-in-test", "valves", read, "valves that can be moved")


def _has_time(plan: Plan, test: ValveTest, problems: Problems) -> None:
    """Each valve has moved within `for`, and is back, with what feeds the next there, within `pause`."""
    known, longest = valves(plan), plan.scan.longest_ms
    for key, given in (("for", test.for_ms), ("pause", test.pause_ms)):
        needs = [
            (least, name, what)
            for name in moved(plan)
            for what, least in times_of(_valve(plan, known[name].circuit, known[name].valve), longest)
        ]
        needs += [
            (one.lead_ms + longest, one.name, "its lead, and a scan")
            for one in plan.feeders
            if key == "pause" and one.supply in _supplies(plan, test)
        ]
        needs = [row for row in needs if math.isfinite(row[0])]  # what could not be read was said
        least, name, what = max(needs, default=(0, "", ""))
        if given < least:
            least = math.ceil(least)
            read = f"'{name}' needs {time(least)}: {what}"
            problems.add(test.at.of(key), "test-too-short", key, read, f"at least {time(least)}")


def _supplies(plan: Plan, test: ValveTest) -> set[str | None]:
    known = valves(plan)
    return {_valve(plan, known[name].circuit, known[name].valve).supply for name in test.valves}


def _valve(plan: Plan, circuit: str, valve: str) -> Valve:
    return plan.type_of(circuit).valves[valve]


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (valves_are_tested,)
