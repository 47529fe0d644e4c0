"""Judges limits, goals, scenarios, requirements and the wiring.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from steadfall.plan.meaning.names import quantities, signals, valves
from steadfall.plan.model import AtMost, EveryOpening, Limit, Plan, Scenario, Step, Terminal
from steadfall.plan.problems import Problems, short

TAKEN_SCENARIOS = ("strongest call",)  # what the default scenario is called


def limits_are_of_quantities(plan: Plan, problems: Problems) -> None:
    """Limits and goals are of quantities of the plant; a temperature range falls."""
    known = quantities(plan)
    for limit in plan.limits:
        if limit.of not in known:
            problems.unknown(limit.at.of("of"), "of", limit.of, "quantity of the plant", known)
        if limit.between is None:
            continue
        first, second = limit.between
        if first <= second:
            read = "the range does not fall"
            expected = "the upper temperature first, as cooling goes"
            problems.add(
                limit.at.of("between"),
                "between-reversed",
                "between",
                read,
                expected,
                example="160 .. 70 degC",
            )
        if limit.of in known and known[limit.of].dimension != "temperature":
            read = f"'{limit.of}' is no temperature, so it is never between two"
            problems.add(limit.at.of("between"), "wrong-dimension", "between", read, "no 'between' here")
    for goal in plan.goals:
        if goal.of not in known:
            problems.unknown(goal.at.of("goal"), "goal", goal.of, "quantity of the plant", known)


def limits_leave_room(plan: Plan, problems: Problems) -> None:
    """What one limit asks for at least, no other of the same figure forbids."""
    floors = [limit for limit in plan.limits if limit.bound == "at_least"]
    for low in floors:
        for high in plan.limits:
            alike = (low.of, low.measure, low.window) == (high.of, high.measure, high.window)
            if alike and high.bound == "at_most" and high.value < low.value and _meet(low, high):
                read = f"nothing keeps '{low.text}' and '{high.text}' of line {high.at.own.line} together"
                place = low.at.of("at least" if low.measure == "value" else low.measure)
                wanted = "a lower value here, or a higher one there"
                problems.add(place, "limits-contradict", "limits", read, wanted)


def _meet(one: Limit, other: Limit) -> bool:
    """Whether both count at some temperature."""
    ends = [limit.between for limit in (one, other) if limit.between is not None]
    return not ends or min(upper for upper, _ in ends) > max(lower for _, lower in ends)


def scenarios_can_run(plan: Plan, problems: Problems) -> None:
    """A scenario sets what can be set, in the order of time, and ends."""
    for scenario in plan.scenarios.values():
        if scenario.name in TAKEN_SCENARIOS:
            read = f"'{scenario.name}' is what the default scenario is called"
            problems.add(scenario.at.own, "same-name", scenario.name, read, "another name")
        _ends(plan, scenario, problems)
        before = -1
        for step in scenario.steps:
            if step.time_ms <= before:
                read = "this step is not later than the one before"
                problems.add(
                    step.at.of("at"),
                    "not-rising",
                    "at",
                    read,
                    "steps in the order of time, one for each moment",
                )
            before = step.time_ms
            _sets(plan, step, problems)


def _ends(plan: Plan, scenario: Scenario, problems: Problems) -> None:
    until, longest = scenario.until_ms, scenario.longest_ms
    read_all = bool(plan.limits) or "limits" not in plan.at.keys
    if until is None and plan.done is None and not plan.goals and read_all:
        read = "the plan has no goal that this scenario could end with"
        problems.add(
            scenario.at.own,
            "no-goal",
            "until",
            read,
            "a goal under 'limits', or a time",
            example="until: 30 min",
        )
    if until is not None and until > longest:
        read = "the scenario would end later than its longest time"
        problems.add(scenario.at.of("until"), "not-rising", "until", read, "at most 'longest'")
    end = longest if until is None else until
    for step in scenario.steps:
        if step.time_ms >= end:
            problems.add(
                step.at.of("at"), "too-late", "at", "the scenario has ended by then", "an earlier time"
            )


def _sets(plan: Plan, step: Step, problems: Problems) -> None:
    named = any(key.startswith("key ") and key != "key at" for key in step.at.keys)
    if not (step.values or step.supplies or step.mishaps or step.presses or named):
        problems.add(
            step.at.own,
            "empty-value",
            "at",
            "no input is given",
            "an input and its value",
            example="full_call: on",
        )
    for name, value in step.values.items():
        item = plan.inputs[name]
        if value is None or value == item.speaks[0]:
            continue
        if value < item.low or value > item.high:
            problems.add(
                step.at.of(name),
                "outside-range",
                name,
                "this lies outside the range of the input",
                "a value in it",
            )


def requirements_can_hold(plan: Plan, problems: Problems) -> None:
    """Requirements are of valves that exist, with times that can be kept."""
    known = valves(plan)
    for item in plan.requirements:
        if isinstance(item, EveryOpening | AtMost) and item.valve not in known:
            key = "every_opening" if isinstance(item, EveryOpening) else "at_most"
            problems.unknown(item.at.of(key), key, item.valve, "valve", known)
        if isinstance(item, EveryOpening) and item.at.keys and item.least_ms is item.most_ms is None:
            wanted = "'lasts at least' or 'lasts at most'"
            problems.add(item.at.own, "missing-key", "lasts at least", "no time is given", wanted)
        if isinstance(item, EveryOpening) and (item.least_ms or 0) > (item.most_ms or float("inf")):
            place = item.at.of("lasts at most")
            problems.add(
                place,
                "not-rising",
                "lasts at most",
                "the longest is shorter than the shortest",
                "a longer time",
            )
        if isinstance(item, AtMost) and (item.count < 1 or item.in_ms < 1):
            read = "this would forbid every opening"
            problems.add(
                item.at.of("at_most"), "out-of-bounds", "at_most", read, "a count and a time above 0"
            )


def requirements_have_own_names(plan: Plan, problems: Problems) -> None:
    """No two requirements are called the same, nor one by a number, as those without a name are."""
    seen: dict[str, int] = {}
    for item in plan.requirements:
        own = re.sub(r"[^a-z0-9]+", "_", item.name.lower()).strip("_")
        if item.name and own.isdigit():
            read = f"'{short(item.name)}' is what a requirement without a name may be called"
            problems.add(item.at.of("name"), "same-name", "name", read, "a name", example="mist needs air")
        elif item.name and own in seen:
            read = f"'{short(item.name)}' is in line {seen[own]} already"
            problems.add(item.at.of("name"), "same-name", "name", read, "another name")
        seen.setdefault(own, item.at.own.line)


# IEC 61131-3:2013, 6.5.5 directly represented variables: %I, %Q or %M, a size, numbers parted by points.
_DIRECT = re.compile(r"%(?P<area>[IQM])(?P<size>[XBWDL]?)(?P<numbers>[0-9]{1,5}(\.[0-9]{1,5}){0,3})\Z")
# Modbus Application Protocol V1.1b3, 4.3: four tables.
_MODBUS = re.compile(r"(coil|discrete input|input register|holding register) [0-9]{1,5}\Z")
# OPC UA part 6, 5.3.1.10: string form of a NodeId.
_NODE = re.compile(r"(ns=[0-9]{1,5};)?[isgb]=.+\Z")
_FORMS = (
    ("address", _DIRECT, "a direct address", "%QX0.0"),
    ("modbus", _MODBUS, "a Modbus table and number", "coil 3"),
    ("opcua", _NODE, "an OPC UA node", "ns=2;s=upper.mist"),
)


def wiring_fits(plan: Plan, problems: Problems) -> None:
    """Every wired signal exists, is addressed in a known form, and no address is used twice."""
    known = {**signals(plan), **plan.settings}
    used: dict[tuple[str, str], str] = {}
    for name, terminal in plan.io.terminals.items():
        if name not in known:
            problems.unknown(terminal.at.own, "io", name, "signal", known)
        for key, form, words, example in _FORMS:
            _address(terminal, key, (form, words, example), used, problems)
        area = _DIRECT.match(terminal.address)
        wanted = "I" if name in plan.inputs else "M" if name in plan.settings else "Q"
        if area and name in known and area["area"] not in (wanted, "M"):
            what = {"I": "an input", "M": "a setting", "Q": "an output"}[wanted]
            read = f"'{name}' is {what} of the controller"
            problems.add(
                terminal.at.of("address"), "address", "address", read, f"%{wanted}", example=f"%{wanted}X0.0"
            )


def _address(
    terminal: Terminal,
    key: str,
    form: tuple[re.Pattern[str], str, str],
    used: dict[tuple[str, str], str],
    problems: Problems,
) -> None:
    text = getattr(terminal, key)
    if not text:
        return
    pattern, words, example = form
    if not pattern.match(text):
        read = f"'{short(text)}' is not {words}"
        problems.add(terminal.at.of(key), "address", key, read, words, example=example)
    elif (key, text) in used:
        read = f"'{text}' is the {key} of '{used[key, text]}' already"
        problems.add(terminal.at.of(key), "address", key, read, "each address once")
    used.setdefault((key, text), terminal.signal)


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    limits_are_of_quantities,
    limits_leave_room,
    scenarios_can_run,
    requirements_can_hold,
    requirements_have_own_names,
    wiring_fits,
)
