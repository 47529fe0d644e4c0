"""Which inputs a person would set so that a condition can come true.

A condition is judged in three values: what the plant decides (temperatures, stages, time) is unknown, and unknown
counts as possible. Few inputs take part in one condition, so every setting of them is tried, the least change first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, product

from steadfall.plan.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Signal,
)
from steadfall.plan.model import Input

MOST_INPUTS = 12  # of one condition; beyond it only single changes and all-at-once are tried

_COMPARE = {
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
}


def possible(condition: Condition, values: Mapping[str, float]) -> bool | None:
    """True or false where the inputs alone decide, None where the plant or time decides."""
    match condition:
        case Always(value):
            return value
        case Signal(name):
            return values[name] >= 0.5 if name in values else {"permitted": True, "tripped": False}.get(name)
        case Compare(name, op, value):
            return _COMPARE[op](values[name], value) if name in values else None
        case Held(part, _):
            return possible(part, values)
        case Not(part):
            inner = possible(part, values)
            return None if inner is None else not inner
        case And(parts):
            found = [possible(part, values) for part in parts]
            return False if False in found else (None if None in found else True)
        case Or(parts):
            found = [possible(part, values) for part in parts]
            return True if True in found else (None if None in found else False)
        case After() | InStage() | OutOfRange():
            return None


def names(condition: Condition) -> set[str]:
    """The signals that a condition reads."""
    match condition:
        case Signal(name) | Compare(name) | OutOfRange(name):
            return {name}
        case Held(part, _) | Not(part):
            return names(part)
        case And(parts) | Or(parts):
            return set().union(*(names(part) for part in parts))
        case _:
            return set()


def settings_for(condition: Condition, inputs: Mapping[str, Input], base: Mapping[str, float]) -> dict[str, float] | None:
    """The least change of the settable inputs under which the condition can come true; None when there is none.

    `base` holds the present value of every settable input. True beats possible: a call is set outright when it can be.
    """
    settable = sorted(name for name in names(condition) if name in base)
    best: dict[str, float] | None = None
    for change in _changes(settable, inputs, base):
        verdict = possible(condition, {**base, **change})
        if verdict is True:
            return change
        if verdict is None and best is None:
            best = change
    return best


def _changes(
    settable: list[str], inputs: Mapping[str, Input], base: Mapping[str, float]
) -> Iterator[dict[str, float]]:
    sizes = range(len(settable) + 1) if len(settable) <= MOST_INPUTS else (0, 1, len(settable))
    for size in sizes:
        for chosen in combinations(settable, size):
            options = [_others(inputs[name], base[name]) for name in chosen]
            for values in product(*options):
                yield dict(zip(chosen, values, strict=True))


def _others(found: Input, now: float) -> list[float]:
    ends = (1.0, 0.0) if found.kind == "switch" else (found.high, found.low)
    return [value for value in ends if value != now]
