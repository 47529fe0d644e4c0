"""Limits, goals, scenarios, requirements and tolerances of a new plan, as text."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.draft.plant import has_load, hosts, metals, names
from steadfall.plan.draft.sheet import Sheet, rounded


def subject(sheet: Sheet) -> str:
    """What the goal speaks of: what lies in it, or the metal."""
    return "load" if has_load(sheet) else metals(sheet)[0]


def limits(sheet: Sheet) -> Iterator[str]:
    """What a good cool-down keeps to, and what it is for."""
    of, bar = subject(sheet), rounded(sheet.gauge("rated", 0.6))
    yield "# What a good cool-down keeps to, and what it is for."
    yield "limits:"
    note = sheet.note(fall="rate")
    yield f"  - {{of: {of}, fall_rate: at most {sheet.said('fall')}, over: 2 min}}{note}"
    for name in names(sheet):
        yield f"  - {{of: {name}.wall_shock, at most: {sheet.said('shock')}}}{sheet.note(shock='difference')}"
        yield f"  - {{of: {name}.pressure, at most: {bar} barg}}"
    note = sheet.note(goal="goal", within="time")
    yield f"  - {{goal: {of} below {sheet.said('goal')}, within: {sheet.said('within')}}}{note}"


MADE = {
    "switch": ("cool_call: on", "cool_call: off"),
    "buttons": ("start_button: pressed", "stop_button: pressed"),
    "percent": ("demand: 100 %", "demand: 0 %"),
}


def scenarios(sheet: Sheet) -> Iterator[str]:
    """One that shows what a call does that ends half way."""
    on, off = MADE[sheet.said("calls")]
    yield "# What may happen. Without this the strongest call is given at 0 s until every goal is reached."
    yield "scenarios:"
    yield "  called twice:"
    yield f"    steps: [{{at: 0 s, {on}}}, {{at: 10 min, {off}}}, {{at: 15 min, {on}}}]"
    yield "    longest: 4 h"


def requirements(sheet: Sheet) -> Iterator[str]:
    """What must hold for ever; more is derived from the plan itself."""
    rows = [f"never: {name}.mist and not {name}.sweep" for name in names(sheet) if sheet.yes("air")]
    if sheet.yes("flood"):
        rows += [f"{{exclusive: [{name}.mist, {name}.flood]}}" for name in names(sheet)]
    if rows:
        yield "# What must hold for ever, under every input. `steadfall prove` derives more from the plan."
        yield "requirements:"
        for row in rows:
            yield f"  - {row}"


def tolerances(sheet: Sheet) -> Iterator[str]:
    """How far numbers may be off."""
    yield "# How far these numbers may be off; `steadfall predict --band` runs the plan many times in them."
    yield "tolerances:"
    yield "  - {of: water.pressure, within: 10 %}"
    yield "  - {of: water.temperature, within: 4 K}"
    for name in dict.fromkeys((*hosts(sheet).values(), *metals(sheet))):
        yield f"  - {{of: {name}.start, within: 5 K}}"
    yield "  - {of: circuit.mist.kv, within: 10 %}"
