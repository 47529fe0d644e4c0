"""The requirement that follows from any plan without being asked, of settings.

Rule of this file: as in `derived.guards`. What the other requirements take for the ends of a setting is
required here, and that no time changes in mid-course.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.panel.settings import on_panel, type_of
from steadfall.logic.forms import all_of, any_of, at_least, choose, different, less, ms, opposite, real
from steadfall.logic.nodes import Node, Previous, Read, Type
from steadfall.plan.model import Setting
from steadfall.prove.requirements.pressed import all_idle
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import in_use
from steadfall.units import written


def settings_in_use(watch: Watch) -> None:
    """The controller works with what the panel shows, within its ends; a time changes in idle alone."""
    for item in watch.plan.settings.values():
        name = in_use(item.name).name
        now, kept = Read(name, type_of(item)), _kept(watch, item)
        low, high = (written(end, item.dimension, item.unit) for end in (item.low, item.high))
        words = f"{name} is what the panel shows for {item.name}, but not below {low} nor above {high}"
        said = Said(f"{name}.as_set", f"{words}{_when(item)}.", (item.at.own,), (item.name,), cuts=True)
        if not item.is_time:
            watch.require(said, any_of((less(now, kept), less(kept, now))), at_least(now, kept))
            continue
        may = any_of((opposite(watch.ran()), all_idle(watch)))
        set_ = choose(may, kept, Previous(name, Type.TIME))
        watch.require(said, different(now, set_), all_of((may, opposite(different(now, kept)))))


def _when(item: Setting) -> str:
    if not item.is_time:
        return ""
    return (
        "; it changes only in the first scan after power-up and in scans before which every circuit was idle"
    )


def _kept(watch: Watch, item: Setting) -> Node:
    """What the panel shows, between the ends that the plan gives."""
    plan, kind = watch.plan, type_of(item)
    shown = Read(item.name, kind)
    low, high = (on_panel(plan, {item.name: end})[item.name] for end in (item.low, item.high))
    least, most = (ms(int(low)), ms(int(high))) if kind is Type.TIME else (real(low), real(high))
    return choose(at_least(shown, least), choose(less(most, shown), most, shown), least)


SETTINGS: tuple[Callable[[Watch], None], ...] = (settings_in_use,)
