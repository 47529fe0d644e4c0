"""What a condition can be: true, false, or both.

Rule of this file: only what is certain is said. A signal that stands in one place alone may be anything; one
that stands in several is tried with every value that these places tell apart (a switch on and off, a measured
value below, at and above each constant, a circuit in each of its stages). What has held for a time can be
false at any moment, and true only while its part is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise, product
from typing import Any

from attrs import evolve, frozen

from steadfall.comparisons import HOLDS
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import Signal as Known
from steadfall.plan.meaning.names import resolve, timers
from steadfall.plan.model import Plan
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

MOST_CASES = 20_000  # a condition that needs more is not judged
BOTH = frozenset({True, False})
TIME = "time in the stage"
Truth = frozenset[bool]
Values = Mapping[str, Any]  # of the signals that stand in several places


@frozen
class Scene:
    """What the names of a condition stand for."""

    plan: Plan
    known: Mapping[str, Known]  # every signal
    circuit: str | None = None

    def name(self, name: str) -> str:
        """A signal by its full name."""
        return resolve(name, self.circuit, self.known) or name

    def good(self, name: str) -> tuple[float, float]:
        """Between which ends a sensor gives a reading."""
        item = self.plan.inputs.get(self.name(name))
        return item.good if item else (0.0, 100.0)

    def states(self, circuit: str) -> tuple[str, ...]:
        """The stages of a circuit."""
        item = self.plan.circuits.get(circuit)
        kind = self.plan.circuit_types.get(item.type) if item else None
        return ("idle", *kind.step_names) if kind else ()

    def finish(self, circuit: str) -> tuple[str, ...]:
        """The steps of a circuit's finish."""
        return tuple(step.name for step in self.plan.type_of(circuit).finish)


def can_be(condition: Condition, scene: Scene) -> Truth:
    """Whether a condition can be true, and whether it can be false."""
    cases = _cases(condition, scene)
    if cases is None:
        return BOTH
    found: Truth = frozenset()
    for values in cases:
        found |= _truth(condition, scene, values)
        if found == BOTH:
            break
    return found


def follows(condition: Condition, scene: Scene, facts: Mapping[str, bool]) -> bool | None:
    """What a condition comes to while these signals last; None where it hangs on more."""
    found = _truth(_lasting(condition), scene, facts)
    return None if found == BOTH else True in found


def _lasting(condition: Condition) -> Condition:
    """The same, once it has been so for long."""
    if isinstance(condition, Held):
        return _lasting(condition.part)
    if isinstance(condition, Not):
        return evolve(condition, part=_lasting(condition.part))
    if isinstance(condition, And | Or):
        return evolve(condition, parts=tuple(_lasting(part) for part in condition.parts))
    return condition


def _cases(condition: Condition, scene: Scene) -> Iterable[Values] | None:
    """Every case of the signals that stand in several places; None where there are too many."""
    places: dict[str, list[Condition]] = {}
    for part in walk(condition):
        about = _about(part, scene)
        if about:
            places.setdefault(about, []).append(part)
    spans = {name: _span(name, parts, scene) for name, parts in places.items() if len(parts) > 1}
    count = 1
    for span in spans.values():
        count *= len(span)
    if count > MOST_CASES:
        return None
    return (dict(zip(spans, case, strict=True)) for case in product(*spans.values()))


def _about(part: Condition, scene: Scene) -> str:
    """What a statement is about."""
    if isinstance(part, Signal | Compare | Goes | OutOfRange):
        return scene.name(part.name)
    if isinstance(part, InStage):
        return f"{part.circuit} is"
    return TIME if isinstance(part, After) else part.name if isinstance(part, Passed) else ""


def _span(name: str, parts: list[Condition], scene: Scene) -> tuple[Any, ...]:
    """The values that some statements about one signal tell apart."""
    if isinstance(parts[0], InStage):
        return scene.states(parts[0].circuit)
    bounds: set[float] = set()
    for part in parts:
        if isinstance(part, Compare):
            bounds.update({part.value, part.given_up})
        elif isinstance(part, After | Passed):
            bounds.add(float(part.ms))
        elif isinstance(part, OutOfRange):
            bounds.update(scene.good(part.name))
    if not bounds:
        return (True, False)
    ordered = sorted(bounds)
    between = [(a + b) / 2 for a, b in pairwise(ordered)]
    low, high = _ends(name, scene)
    return tuple(
        value for value in (ordered[0] - 1, *ordered, *between, ordered[-1] + 1) if low <= value <= high
    )


def _ends(name: str, scene: Scene) -> tuple[float, float]:
    """What a value certainly stays within: a sensor may read past the ends of its range, a ramp does not."""
    if name == TIME or name in timers(scene.plan):
        return 0.0, float("inf")
    return (0.0, 100.0) if name in scene.plan.ramps else (float("-inf"), float("inf"))


def _truth(part: Condition, scene: Scene, values: Values) -> Truth:
    return _FORMS[type(part)](part, scene, values)


def _alone(part: Condition, scene: Scene) -> Truth:
    """A statement about a signal that stands nowhere else."""
    about = _about(part, scene)
    span = _span(about, [part], scene)
    return frozenset().union(*(_truth(part, scene, {about: value}) for value in span)) or BOTH


def _statement(said: Callable[[Any, Scene, Any], bool | Truth]) -> Callable[[Any, Scene, Values], Truth]:
    def truth(part: Condition, scene: Scene, values: Values) -> Truth:
        about = _about(part, scene)
        if about not in values:
            return _alone(part, scene)
        found = said(part, scene, values[about])
        return found if isinstance(found, frozenset) else frozenset({found})

    return truth


def _is_in(part: InStage, scene: Scene, state: str) -> bool:
    return state in scene.finish(part.circuit) if part.stage == "finishing" else state == part.stage


def _is_out(part: OutOfRange, scene: Scene, value: float) -> bool:
    low, high = scene.good(part.name)
    return not low < value < high


def _compares(part: Compare, _scene: Scene, value: float) -> bool | Truth:
    """Between its value and where it is given up it may be either."""
    holds = HOLDS[part.op](value, part.value)
    return BOTH if not holds and HOLDS[part.op](value, part.given_up) else holds


def _all(part: And, scene: Scene, values: Values) -> Truth:
    found = [_truth(one, scene, values) for one in part.parts]
    both = {True} if all(True in one for one in found) else set()
    return frozenset(both | ({False} if any(False in one for one in found) else set()))


def _any(part: Or, scene: Scene, values: Values) -> Truth:
    found = [_truth(one, scene, values) for one in part.parts]
    both = {True} if any(True in one for one in found) else set()
    return frozenset(both | ({False} if all(False in one for one in found) else set()))


def _held(part: Held, scene: Scene, values: Values) -> Truth:
    now = _truth(part.part, scene, values)
    return now | {False} if part.ms else now


_FORMS: Mapping[type, Callable[[Any, Scene, Values], Truth]] = {
    Always: lambda part, _scene, _values: frozenset({part.value}),
    Signal: _statement(lambda _part, _scene, value: bool(value)),
    Compare: _statement(_compares),
    Goes: _statement(lambda part, _scene, value: BOTH if bool(value) == part.on else False),
    OutOfRange: _statement(_is_out),
    InStage: _statement(_is_in),
    After: _statement(lambda part, _scene, value: value >= part.ms),
    Passed: _statement(lambda part, _scene, value: HOLDS[part.op](value, part.ms)),
    Not: lambda part, scene, values: frozenset(not one for one in _truth(part.part, scene, values)),
    And: _all,
    Or: _any,
    Held: _held,
}
