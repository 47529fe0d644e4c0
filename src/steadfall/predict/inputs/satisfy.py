"""Which inputs a person would set so that a condition can come true.

A condition is judged in three values: what the plant decides (temperatures, stages, time) is unknown, and
unknown counts as possible. Few inputs take part in one condition, so every setting of them is tried, the
least change first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import combinations, product

from steadfall.comparisons import HOLDS
from steadfall.plan.model import Input
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

MOST_INPUTS = 12  # of one condition; beyond it only single changes and all-at-once are tried

Values = Mapping[str, float]


def possible(condition: Condition, values: Values) -> bool | None:
    """True or false where the inputs alone decide, None where the plant or time decides."""
    return _POSSIBLE[type(condition)](condition, values)


def _signal(condition: Signal, values: Values) -> bool | None:
    if condition.name in values:
        return values[condition.name] >= 0.5
    return {"permitted": True, "tripped": False}.get(condition.name)


def _compare(condition: Compare, values: Values) -> bool | None:
    if condition.name not in values:
        return None
    return HOLDS[condition.op](values[condition.name], condition.value)


def _not(condition: Not, values: Values) -> bool | None:
    inner = possible(condition.part, values)
    return None if inner is None else not inner


def _and(condition: And, values: Values) -> bool | None:
    found = [possible(part, values) for part in condition.parts]
    return False if False in found else (None if None in found else True)


def _or(condition: Or, values: Values) -> bool | None:
    found = [possible(part, values) for part in condition.parts]
    return True if True in found else (None if None in found else False)


def _unknown(_: Condition, __: Values) -> None:
    return None


_POSSIBLE: Mapping[type, Callable[..., bool | None]] = {
    Always: lambda condition, _: condition.value,
    Signal: _signal,
    Compare: _compare,
    Held: lambda condition, values: possible(condition.part, values),
    Not: _not,
    And: _and,
    Or: _or,
    After: _unknown,
    InStage: _unknown,
    Goes: _unknown,
    OutOfRange: _unknown,
    Passed: _unknown,
}


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


def settings_for(
    condition: Condition, inputs: Mapping[str, Input], base: Mapping[str, float]
) -> dict[str, float] | None:
    """The least change of the settable inputs under which the condition can come true; None when there is
    none.

    `base` holds the present value of every settable input. True beats possible: a call is set outright when
    it can be.
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
    ends = (1.0, 0.0) if found.is_digital else (found.high, found.low)
    return [value for value in ends if value != now]
