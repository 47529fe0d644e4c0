"""What the keys of a plan say, where that is more than the value of one field.

Rule of this file: the way back from `plan.read.fills`. Each row names a key by its field, and a function of
the thing and the plan that gives the key's value; None where the key is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from attrs import evolve, frozen

from steadfall.dimensions import DIFFERENCES
from steadfall.plan import model
from steadfall.plan.keys.held import Bounded, Measured, Spanned
from steadfall.plan.keys.sections.aims import BROKEN, MEASURED, PRESSED
from steadfall.plan.keys.table import LANGUAGE
from steadfall.plan.meaning.handed import DIGITS, handed_by, raw_aloud
from steadfall.plan.meaning.names import parts
from steadfall.plan.meaning.trust import sensor_trips
from steadfall.plan.model.equipment import Fins
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.text.lay_out import time
from steadfall.units import written


@frozen
class Told:
    """The plan that is written, and its quantities with their dimensions."""

    plan: model.Plan
    dimensions: Mapping[str, str]


def _nothing(_thing: Any, _told: Told) -> None:
    """A key that stands for a number; the number itself is written."""


def _half_thickness(inner: model.Inner, _told: Told) -> float | None:
    return inner.size if inner.shape == "slab" else None


def _radius(inner: model.Inner, _told: Told) -> float | None:
    return None if inner.shape == "slab" else inner.size


def _order(run: model.Run, _told: Told) -> model.Order | str:
    return run.order if isinstance(run.order, model.Order) else " ".join(map(str, run.order))


def _opens(valve: model.Valve, _told: Told) -> str | None:
    return (valve.opens or "outlet_bypass") if valve.supply is None else None


def _step_down(kind: model.CircuitType, _told: Told) -> str:
    return "at once" if kind.step_down_ms == 0 else f"after {time(kind.step_down_ms)}"


SHUT: Any = None  # of a valve that a stage names to show that all shut valves are meant


def _stages(kind: model.CircuitType, _told: Told) -> tuple[model.Stage, ...]:
    """A stage in which every valve is shut names one of them."""
    spare = next(iter(kind.valves), "")
    return tuple(stage if stage.actions else evolve(stage, actions={spare: SHUT}) for stage in kind.stages)


def _actions(step: model.Stage | model.FinishStep, _told: Told) -> Mapping[str, Any]:
    words = {model.Open: "open", type(SHUT): "shut"}
    return {valve: words.get(type(action), action) for valve, action in step.actions.items()}


def _span(item: model.Input, _told: Told) -> Spanned | None:
    return None if item.is_digital else Spanned(item.low, item.high, item.kind, item.unit)


def _raw(item: model.Input, _told: Told) -> str | None:
    return None if item.raw is None else raw_aloud(item.raw)


def _margin(item: model.Input, value: float | None) -> str | None:
    """Where a sensor counts as out of its range, as the controller is handed it."""
    if value is None or item.raw is None:
        return None if value is None else written(value, item.kind, item.unit or None)
    return f"{round(handed_by(item).of(value), DIGITS):.15g} {item.raw.unit}".rstrip()


def _rooted(item: model.Input, _told: Told) -> str | None:
    if item.cut_off is None:
        return None
    return f"cut off below {written(item.cut_off, item.kind, item.unit)}"


def _measures(item: model.Input, told: Told) -> str | None:
    if item.measures is None or item.changes is None:
        return item.measures
    value = written(item.changes.value, told.dimensions[item.measures])
    return f"{item.measures} {item.changes.bound} {value}"


def _hysteresis(item: model.Input, told: Told) -> Measured | None:
    if item.changes is None or not item.changes.hysteresis:
        return None
    return Measured(item.changes.hysteresis, DIFFERENCES[told.dimensions[str(item.measures)]])


def _noise(item: model.Input, _told: Told) -> Measured | None:
    return Measured(item.noise, DIFFERENCES[item.kind]) if item.noise else None


def _bad(item: model.Input, _told: Told) -> str | None:
    if item.when_bad == "go on":
        return f"go on with {written(item.substitute, item.kind, item.unit)}"
    return "trip" if item.when_bad == "trip" else None


def _trips(plan: model.Plan, _told: Told) -> tuple[model.Trip, ...]:
    made = sensor_trips(plan)
    return tuple(one for one in plan.trips if one not in made)


def _counts(openings: bool) -> Callable[[model.Counter, Told], Any]:
    return lambda item, _told: item.of if item.of_openings is openings else None


def _due(item: model.Counter, _told: Told) -> str | None:
    if item.due is None:
        return None
    return f"{item.due:.0f}" if item.of_openings else f"{item.due:.0f} h"


def _preset(item: model.Setting, _told: Told) -> Measured:
    return Measured(item.default, item.dimension, item.unit)


def _ends(item: model.Setting, _told: Told) -> Spanned:
    return Spanned(item.low, item.high, item.dimension, item.unit)


def _normal(item: model.Input, _told: Told) -> str | Measured:
    return _setting(item, item.normal)


def _setting(item: model.Input, value: float) -> str | Measured:
    """A value of an input."""
    return ("on" if value else "off") if item.is_digital else Measured(value, item.kind)


def _values(step: model.Step, told: Told) -> Mapping[str, str | Measured]:
    inputs = {name: _shown(told.plan.inputs[name], value) for name, value in step.values.items()}
    inputs |= dict.fromkeys(step.presses, PRESSED)
    inputs |= {name: wrong.value for name, wrong in step.mishaps.items()}
    return inputs | {name: Measured(value, parts(name)[1]) for name, value in step.supplies.items()}


def _panel(item: model.Scenario, told: Told) -> Mapping[str, Measured] | None:
    known = told.plan.settings
    rows = ((known[name], value) for name, value in item.panel.items())
    return {one.name: Measured(value, one.dimension, one.unit) for one, value in rows} or None


def _shown(item: model.Input, value: float | None) -> str | Measured:
    if value is None:
        return MEASURED
    return BROKEN if not item.is_digital and value == item.speaks[0] else _setting(item, value)


def _guarded(item: model.Permissive, _told: Told) -> str | tuple[str, ...]:
    return "all water" if item.all_water else item.valves


def _bound(word: str) -> Callable[[model.Limit, Told], Measured | None]:
    def bound(item: model.Limit, told: Told) -> Measured | None:
        given = item.measure == "value" and item.bound == word
        return Measured(item.value, told.dimensions[item.of]) if given else None

    return bound


def _rate(measure: str) -> Callable[[model.Limit, Told], Bounded | None]:
    def rate(item: model.Limit, _told: Told) -> Bounded | None:
        return Bounded(item.bound, item.value) if item.measure == measure else None

    return rate


def _between(item: model.Limit, _told: Told) -> Spanned | None:
    return None if item.between is None else Spanned(*item.between, "temperature", "degC")


def _over(item: model.Limit, _told: Told) -> int | None:
    return None if item.measure == "value" else round(item.window * 1000)


def _goal(item: model.Goal, told: Told) -> str:
    return f"{item.of} {item.bound} {written(item.value, told.dimensions[item.of])}"


def _within(item: model.Goal, _told: Told) -> int:
    return round(item.within * 1000)


def _tolerance(item: model.Tolerance, _told: Told) -> Measured:
    if item.relative:
        return Measured(100 * item.value, "percent")
    return Measured(item.value, "temperature_difference")


def _openings(item: model.AtMost, _told: Told) -> str:
    return f"{item.count} openings of {item.valve} in {time(item.in_ms)}"


def _fault(item: model.Fault, _told: Told) -> str:
    return item.phrase


def _columns(io: model.Io, _told: Told) -> Mapping[str, str] | None:
    return io.columns or None


def _materials(plan: model.Plan, _told: Told) -> Mapping[str, model.Material]:
    return {name: item for name, item in plan.materials.items() if BUILT_IN.get(name) != item}


def _io(plan: model.Plan, _told: Told) -> model.Io | Mapping[str, model.Terminal] | None:
    return plan.io if plan.io.list_file is not None else plan.io.terminals or None


def _limits(plan: model.Plan, _told: Told) -> tuple[model.Limit | model.Goal, ...]:
    return (*plan.limits, *plan.goals)


Says = Mapping[str, Callable[[Any, Told], Any]]
SAYS: Mapping[type, Says] = {
    model.Body: {"material": _nothing},
    model.Inner: {"half_thickness": _half_thickness, "radius": _radius},
    Fins: {"material": _nothing},
    model.Run: {"order": _order},
    model.Valve: {"opens": _opens},
    model.CircuitType: {"step_down": _step_down, "stages": _stages},
    model.Stage: {"actions": _actions},
    model.FinishStep: {"actions": _actions},
    model.Setting: {"preset": _preset, "span": _ends},
    model.Input: {
        "span": _span,
        "raw_given": _raw,
        "rooted": _rooted,
        "sentence": _measures,
        "hysteresis": _hysteresis,
        "noise_given": _noise,
        "normal": _normal,
        "filter_given_ms": lambda item, _told: item.filter_ms or None,
        "below": lambda item, _told: _margin(item, item.bad_below),
        "above": lambda item, _told: _margin(item, item.bad_above),
        "bad": _bad,
    },
    model.Counter: {"openings_of": _counts(True), "hours_of": _counts(False), "due_given": _due},
    model.ValveTest: {"named": lambda item, _told: item.valves},
    model.Permissive: {"water": _guarded},
    model.Limit: {
        "at_most": _bound("at_most"),
        "at_least": _bound("at_least"),
        "fall_rate": _rate("fall_rate"),
        "rise_rate": _rate("rise_rate"),
        "between": _between,
        "over": _over,
    },
    model.Goal: {"sentence": _goal, "within_ms": _within},
    model.Tolerance: {"within": _tolerance},
    model.Scenario: {"panel": _panel},
    model.Step: {"values": _values},
    model.AtMost: {"sentence": _openings},
    model.Fault: {"sentence": _fault},
    model.Io: {"columns": _columns},
    model.Plan: {
        "steadfall": lambda *_: LANGUAGE,
        "materials": _materials,
        "trips": _trips,
        "limits": _limits,
        "io": _io,
    },
}
