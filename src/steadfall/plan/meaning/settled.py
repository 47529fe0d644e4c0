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


CONTROLLED = ("circuit_types", "ramps", "calls", "permissives", "trips", "requirements")


def _put(thing: Any, pick: Pick) -> Any:
    if isinstance(thing, Preset):
        return thing.more + sum(round(pick(one) * 1000) * times for one, times in thing.of)
    if isinstance(thing, Level):
        return float(pick(thing.of))
    if isinstance(thing, Mapping):
        return {key: _put(value, pick) for key, value in thing.items()}
    if isinstance(thing, tuple):
        return tuple(_put(part, pick) for part in thing)
    if not attrs.has(type(thing)):
        return thing
    kept = {row.name: getattr(thing, row.name) for row in attrs.fields(type(thing)) if row.init}
    made = {name: _put(value, pick) for name, value in kept.items() if name not in ("at", "mark")}
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
