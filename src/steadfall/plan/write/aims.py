"""Limits, goals, scenarios and requirements, back to text.

Rule of this file: see `plan.write.whole`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.plan.keys.aims import CUT
from steadfall.plan.model.aims import (
    AtMost,
    EveryOpening,
    Exclusive,
    Fault,
    Goal,
    Limit,
    Never,
    Requirement,
    Scenario,
    Tolerance,
    Whenever,
)
from steadfall.plan.text.lay_out import flow, items, scalar, time
from steadfall.plan.text.speak import speak
from steadfall.units import written


def limit(item: Limit, dimension: str) -> str:
    """A limit, on a quantity of this dimension."""
    bound = item.bound.replace("_", " ")
    if item.measure == "fall_rate":
        what = ("fall_rate", f"{bound} {written(item.value, 'fall_rate')}")
    else:
        what = (bound, written(item.value, dimension))
    over = time(round(item.window * 1000)) if item.measure == "fall_rate" else None
    return flow((("of", item.of), what, ("between", _span(item.between)), ("over", over)))


def _span(between: tuple[float, float] | None) -> str | None:
    if between is None:
        return None
    first, second = (written(value, "temperature", "degC") for value in between)
    return f"{first.partition(' ')[0]} .. {second}"


def goal(item: Goal, dimension: str) -> str:
    """A goal, on a quantity of this dimension."""
    sentence = f"{item.of} {item.bound} {written(item.value, dimension)}"
    return flow((("goal", sentence), ("within", time(round(item.within * 1000)))))


def tolerance(item: Tolerance) -> str:
    """How far a number may be off."""
    value = (
        written(100 * item.value, "percent")
        if item.relative
        else written(item.value, "temperature_difference")
    )
    return flow((("of", item.of), ("within", value)))


def scenario(item: Scenario, setting: Callable[[str, float], str]) -> str:
    """A scenario; `setting` writes the value of an input."""
    steps = (
        flow(
            (
                ("at", time(step.time_ms)),
                *((name, setting(name, value)) for name, value in step.values.items()),
            )
        )
        for step in item.steps
    )
    until = "goals" if item.until_ms is None else time(item.until_ms)
    return flow((("steps", items(steps)), ("until", until), ("longest", time(item.longest_ms))))


def fault(item: Fault) -> str:
    """What goes wrong."""
    return flow((("fault", item.phrase), ("may_break", items(item.may_break) if item.may_break else None)))


def requirement(item: Requirement) -> str:
    """A requirement."""
    return flow(_REQUIREMENTS[type(item)](item))


def _every_opening(item: EveryOpening) -> tuple[tuple[str, str | None], ...]:
    return (
        ("every_opening", item.valve),
        ("lasts at least", None if item.least_ms is None else time(item.least_ms)),
        ("lasts at most", None if item.most_ms is None else time(item.most_ms)),
        ("unless", CUT if item.unless_cut else None),
    )


def _whenever(item: Whenever) -> tuple[tuple[str, str | None], ...]:
    return (
        ("whenever", scalar(speak(item.condition))),
        ("then", scalar(speak(item.then))),
        ("within", time(item.within_ms)),
        ("lasting", time(item.lasting_ms)),
    )


_REQUIREMENTS: Mapping[type, Callable[[Any], tuple[tuple[str, str | None], ...]]] = {
    Never: lambda item: (("never", scalar(speak(item.condition))),),
    Whenever: _whenever,
    EveryOpening: _every_opening,
    AtMost: lambda item: (("at_most", f"{item.count} openings of {item.valve} in {time(item.in_ms)}"),),
    Exclusive: lambda item: (("exclusive", items(scalar(speak(part)) for part in item.conditions)),),
}
