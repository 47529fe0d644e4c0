"""When a call has been let go: what must have been so before it counts as a new one.

Rule of this file: of a condition only what a person or another system sets counts, as it stands: a call by
`full_call and hot for 2 s` is let go when `full_call` is off, however hot it is and for how long. Where
nobody sets anything, the condition itself must be untrue, without its times.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.plan.model import Call, Demand, Plan
from steadfall.plan.model.condition import (
    Always,
    And,
    Compare,
    Condition,
    Held,
    Not,
    Or,
    OutOfRange,
    Signal,
)
from steadfall.plan.model.setting import Level

TRUE, FALSE = Always(value=True), Always(value=False)


def made(condition: Condition, plan: Plan) -> Condition:
    """What holds as long as a call has not been let go."""
    by_hand = {name for name, item in plan.inputs.items() if item.measures is None}
    ways = (_upper(condition, True, kept) for kept in (by_hand.__contains__, lambda _: True))
    return next((one for one in ways if one != TRUE), condition)


def asks_by(call: Call | Demand, plan: Plan) -> Condition:
    """What a call asks by: its condition, that of the ramp that it follows, or any demand for its first
    stage.
    """
    if isinstance(call, Call):
        return call.when
    if call.of in plan.ramps:
        return plan.ramps[call.of].when
    mark = call.at.of("thresholds")
    low = min((_end(level, "low") for level in call.thresholds.values()), default=0.0)
    least = low - _end(call.hysteresis, "high")  # whatever is set
    if least <= 0.0:
        return Compare(call.of, ">", 0.0, "percent", mark)
    return Not(Compare(call.of, "<", least, "percent", mark))


def _end(level: float, which: str) -> float:
    """A level; of a setting its lower or higher end."""
    return float(getattr(level.of, which)) if isinstance(level, Level) else level


Kept = Callable[[str], bool]


def _upper(condition: Condition, so: bool, kept: Kept) -> Condition:
    """A condition that holds whenever this one does (`so`), or only when it does."""
    return _FORMS.get(type(condition), _open)(condition, so, kept)


def _open(_: Condition, so: bool, __: Kept) -> Condition:
    return Always(value=so)


def _of_signal(item: Signal | Compare | OutOfRange, so: bool, kept: Kept) -> Condition:
    return item if kept(item.name) else Always(value=so)


def _held(item: Held, so: bool, kept: Kept) -> Condition:
    """It takes its time to hold, and none to hold no longer."""
    return _upper(item.part, so, kept) if so else FALSE


def _not(item: Not, so: bool, kept: Kept) -> Condition:
    part = _upper(item.part, not so, kept)
    return Always(not part.value, item.mark) if isinstance(part, Always) else Not(part, item.mark)


def _joined(item: And | Or, so: bool, kept: Kept) -> Condition:
    idle, final = (TRUE, FALSE) if isinstance(item, And) else (FALSE, TRUE)
    parts = [one for part in item.parts if (one := _upper(part, so, kept)) != idle]
    if final in parts:
        return final
    return type(item)(tuple(parts), item.mark) if len(parts) > 1 else parts[0] if parts else idle


_FORMS: Mapping[type, Callable[[Any, bool, Kept], Condition]] = {
    Always: lambda item, _so, _kept: item,
    Signal: _of_signal,
    Compare: _of_signal,
    OutOfRange: _of_signal,
    Held: _held,
    Not: _not,
    And: _joined,
    Or: _joined,
}
