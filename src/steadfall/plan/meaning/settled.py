"""A plan with its settings at certain values: plain numbers in their places.

Rule of this file: what is put in place of a setting is a number like any other, and the settings are gone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import attrs

from steadfall.plan.model import Plan, Setting
from steadfall.plan.model.setting import Level, Preset

Pick = Callable[[Setting], float]  # in SI


def at_default(setting: Setting) -> float:
    """As it is until somebody changes it."""
    return setting.default


def at_low(setting: Setting) -> float:
    """Its low end."""
    return setting.low


def at_high(setting: Setting) -> float:
    """Its high end."""
    return setting.high


def settled(plan: Plan, pick: Pick = at_default) -> Plan:
    """The plan with its settings at the values that are picked, and none left; itself where it has none."""
    return attrs.evolve(at_values(plan, pick), settings={}) if plan.settings else plan


def at_values(plan: Plan, pick: Pick = at_default) -> Plan:
    """The same with the settings still listed, though nothing hangs on them any more."""
    return attrs.evolve(plan, **{field: _put(getattr(plan, field), pick) for field in CONTROLLED})


def narrowed(plan: Plan, ends: Mapping[str, tuple[float, float]]) -> Plan:
    """The plan with other ends for some of its settings, in SI."""
    new = {
        item: attrs.evolve(item, low=ends[item.name][0], high=ends[item.name][1])
        for item in plan.settings.values()
        if item.name in ends
    }

    def other(number: Preset | Level) -> Preset | Level:
        if isinstance(number, Level):
            return Level(new.get(number.of, number.of))
        return Preset({new.get(one, one): times for one, times in number.of}, number.more)

    settings = {name: new.get(item, item) for name, item in plan.settings.items()}
    changed = {field: _changed(getattr(plan, field), other) for field in CONTROLLED}
    return attrs.evolve(plan, settings=settings, **changed)


CONTROLLED = (
    *("circuit_types", "circuits", "ramps", "calls", "done", "permissives", "trips"),
    *("main_valves", "pumps"),
    *("alarms", "acknowledge", "outputs", "requirements"),
)


def _put(thing: Any, pick: Pick) -> Any:
    def plain(number: Preset | Level) -> float:
        if isinstance(number, Level):
            return float(pick(number.of))
        return number.more + sum(round(pick(one) * 1000) * times for one, times in number.of)

    return _changed(thing, plain)


def _changed(thing: Any, change: Callable[[Preset | Level], float]) -> Any:
    """A thing in which every number that hangs on settings is another."""
    if isinstance(thing, Preset | Level):
        return change(thing)
    if isinstance(thing, Mapping):
        return {key: _changed(value, change) for key, value in thing.items()}
    if isinstance(thing, tuple):
        return tuple(_changed(part, change) for part in thing)
    if not attrs.has(type(thing)):
        return thing
    kept = {row.name: getattr(thing, row.name) for row in attrs.fields(type(thing)) if row.init}
    made = {name: _changed(value, change) for name, value in kept.items() if name not in ("at", "mark")}
    changed = {name: value for name, value in made.items() if value is not kept[name]}
    return attrs.evolve(thing, **changed) if changed else thing


def used(thing: Any) -> set[Setting]:
    """The settings that hang in a part of a plan."""
    found: set[Setting] = set()

    def seen(setting: Setting) -> float:
        found.add(setting)
        return setting.default

    _put(thing, seen)
    return found
