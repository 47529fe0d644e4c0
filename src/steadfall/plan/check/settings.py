"""Judges settings: their ends, what they are used for, and the plan at either end of them.

Rule of this file: see `plan.check.whole`, which judges the plan with every setting at its default, and at
either end.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.check.presets import MANY, presets
from steadfall.plan.meaning.conditions import Stated, controller_conditions, walk
from steadfall.plan.meaning.names import quantities, resolve, signals, valves
from steadfall.plan.meaning.settled import CONTROLLED, used
from steadfall.plan.model import Dose, Plan
from steadfall.plan.model.condition import Compare
from steadfall.plan.model.setting import Level, settings_of
from steadfall.plan.problems import Problems
from steadfall.roles import Role
from steadfall.units import shown


def ends_rise(plan: Plan, problems: Problems) -> None:
    """The ends of a setting rise, and its default lies between them."""
    for name, item in plan.settings.items():
        if not item.dimension:
            continue
        if item.low >= item.high:
            low, high = (shown(end, item.dimension, spelling=item.unit) for end in (item.low, item.high))
            read = f"the ends do not rise: they go from {low} to {high}"
            problems.add(item.at.of("adjustable"), "range-reversed", "adjustable", read, "the low end first")
        elif not item.low <= item.default <= item.high:
            read = f"{shown(item.default, item.dimension)} lies outside the ends of '{name}'"
            problems.add(item.at.of("default"), "outside-range", "default", read, "a value between them")


def settings_have_own_names(plan: Plan, problems: Problems) -> None:
    """A setting is called like nothing else."""
    seen = {name.lower(): f"the input '{name}'" for name in plan.inputs}
    seen |= {name.lower(): f"the ramp '{name}'" for name in plan.ramps}
    seen |= {name.lower(): f"the command of the valve '{name}'" for name in valves(plan)}
    seen |= {name.lower(): "a quantity of the plant" for name in quantities(plan)}
    for name, item in plan.settings.items():
        if other := seen.get(name.lower()):
            problems.add(item.at.own, "same-name", name, f"{other} has this name already", "another name")
        seen[name.lower()] = f"the setting '{name}'"


def settings_are_used(plan: Plan, problems: Problems) -> None:
    """A setting that nothing hangs on would stand on the panel and do nothing; where something could not be
    read, it may be that.
    """
    if problems:
        return
    hang = used(tuple(getattr(plan, field) for field in CONTROLLED))
    for name, item in plan.settings.items():
        if item.dimension and item not in hang:
            problems.add(
                item.at.own, "unused-setting", name, "nothing hangs on this setting", "its name somewhere"
            )


def settings_are_whole(plan: Plan, problems: Problems) -> None:
    """A time that is a setting counts whole milliseconds, and a multiple of the timer step by default."""
    step = plan.scan.timer_step_ms
    if sum(preset.ms % step > 0 for preset in presets(plan)) > MANY:
        return  # the step is told there
    for item in plan.settings.values():
        for key, value in (("default", item.default), ("adjustable", item.low), ("adjustable", item.high)):
            ms = value * 1000
            if item.is_time and item.is_read and step > 0 and abs(ms - round(ms / step) * step) > 1e-6:
                read = f"{ms:g} ms is no multiple of the timer step of {step} ms"
                problems.add(item.at.of(key), "timer-step", key, read, f"a multiple of {step} ms")


def settings_keep_off_free_clocks(plan: Plan, problems: Problems) -> None:
    """A clock that circuits share runs from power-up, and cannot be set while it runs."""
    for kind in plan.circuit_types.values():
        for stage in kind.stages:
            for action in stage.actions.values():
                if isinstance(action, Dose) and action.clock == "free":
                    for key, ms in (("open", action.open_ms), ("shut", action.shut_ms)):
                        if settings_of(ms):
                            read = "a dose on the free clock is not adjustable"
                            problems.add(
                                action.at.of(key), "free-clock", key, read, "a time, or 'clock: restart'"
                            )


def delays_on_free_clocks_are_fixed(plan: Plan, problems: Problems) -> None:
    """By how much a circuit lags on a clock that all share is worked out beforehand."""
    for circuit in plan.circuits.values():
        kind = plan.circuit_types.get(circuit.type)
        stages = kind.stages if kind else ()
        actions = [action for stage in stages for action in stage.actions.values()]
        free = any(isinstance(action, Dose) and action.clock == "free" for action in actions)
        if free and settings_of(circuit.delay_doses_ms):
            mark = circuit.at.of("delay_doses")
            read = "the delay on a free clock is not adjustable"
            problems.add(mark, "free-clock", "delay_doses", read, "a time, or doses with 'clock: restart'")


def levels_have_the_unit_of_their_sensor(plan: Plan, problems: Problems) -> None:
    """The controller compares in the unit of the sensor, and the panel shows the setting in its own."""
    for ramp in plan.ramps.values():
        unit = plan.inputs[ramp.of].unit if ramp.of in plan.inputs else ""
        if isinstance(ramp.to, Level) and unit and ramp.to.of.unit not in ("", unit):
            read = f"'{ramp.of}' is seen in {unit}, and '{ramp.to.of.name}' is set in {ramp.to.of.unit}"
            problems.add(ramp.at.of("to"), "setting-unit", "to", read, f"ends in {unit}")
    for stated in controller_conditions(plan):
        for part in walk(stated.condition):
            if isinstance(part, Compare) and isinstance(part.value, Level):
                unit = _unit(plan, stated, part)
                if unit and part.value.of.unit not in ("", unit):
                    read = f"'{part.name}' is seen in {unit}, and '{part.value.of.name}' is set in "
                    read += part.value.of.unit
                    problems.add(part.mark, "setting-unit", stated.key, read, f"ends in {unit}")


def _unit(plan: Plan, stated: Stated, part: Compare) -> str:
    known = signals(plan)
    full = resolve(part.name, stated.circuit, known) or ""
    item = plan.inputs.get(full)
    if item is None and full in known and known[full].role is Role.SET_POINT:
        item = plan.inputs.get(plan.ramps[known[full].identity.of].of)
    return item.unit if item else "%" if full in known else ""


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    ends_rise,
    settings_have_own_names,
    settings_are_used,
    settings_are_whole,
    settings_keep_off_free_clocks,
    delays_on_free_clocks_are_fixed,
    levels_have_the_unit_of_their_sensor,
)
