"""Conditions back to text, as `plan.text.phrase` reads them.

Rule of this file: read(speak(condition)) == condition, with no bracket more than needed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.dimensions import DIFFERENCES
from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Goes,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Passed,
    Signal,
)
from steadfall.plan.text.lay_out import level, time
from steadfall.units import written


def speak(condition: Condition) -> str:
    """The text of a condition."""
    return _WORDS[type(condition)](condition)


def back(part: Compare) -> str:
    """By how much a comparison must go back, as words behind it."""
    if not part.hysteresis:
        return ""
    return f" with hysteresis {written(part.hysteresis, DIFFERENCES[part.dimension])}"


def _inside(part: Condition) -> str:
    """A part within `and`, `or` or `not`: in brackets where it is more than one statement."""
    return f"({speak(part)})" if isinstance(part, And | Or | Held) else speak(part)


def _held(held: Held) -> str:
    left = f"({speak(held.part)})" if isinstance(held.part, Held) else speak(held.part)
    return f"{left} for {time(held.ms)}"


_WORDS: Mapping[type, Callable[[Any], str]] = {
    Always: lambda c: "true" if c.value else "false",
    Signal: lambda c: c.name,
    Compare: lambda c: f"{c.name} {c.op} {level(c.value, c.dimension)}{back(c)}",
    Goes: lambda c: f"{c.name} goes {'on' if c.on else 'off'}",
    OutOfRange: lambda c: f"{c.name} out of range",
    InStage: lambda c: f"{c.circuit} is {c.stage}",
    Not: lambda c: f"not {_inside(c.part)}",
    And: lambda c: " and ".join(_inside(part) for part in c.parts),
    Or: lambda c: " or ".join(_inside(part) for part in c.parts),
    Held: _held,
    After: lambda c: f"after {time(c.ms)}",
    Passed: lambda c: f"{c.name} {c.op} {time(c.ms)}",
}
