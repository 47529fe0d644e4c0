"""The requirements that follow from any plan without being asked, of outputs and alarms.

Rule of this file: as in `derived.guards`. Times are those of the plan; a time that is over is
seen at most one longest scan later.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

from steadfall.logic.forms import all_of, any_of, at_least, different, less, ms, opposite
from steadfall.logic.nodes import Node, Previous, Read, SetDominant, Tof, Ton, Type
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.names import alarm_titles, word
from steadfall.plan.model import Output
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import Role, alarm, of_plant, output, titled
from steadfall.source import Mark


def outputs_as_told(watch: Watch) -> None:
    """Every output is on while its condition holds, with its delays, and at no other time."""
    for item in watch.plan.outputs.values():
        name, mark = output(item.name).name, item.at.own
        label = f"{name}.as_told"
        due = watch.signal(f"{label}:due", _due(watch, item, label), mark)
        now = Read(name, Type.BOOL)
        while_ = aloud(item.on, watch.plan, before=SEEN_BEFORE["output"])
        after = f", from {time(item.on_after_ms)} after it began" if item.on_after_ms else ""
        longer = f", and {time(item.off_after_ms)} longer" if item.off_after_ms else ""
        if not item.flash_ms:
            words = f"{name} is on while {while_}{after}{longer}, and at no other time."
            watch.require(Said(label, words, (mark,), (name,)), different(due, now), due)
            continue
        words = f"{name} is on and off for {time(item.flash_ms)} each while {while_}{after}{longer}, "
        words += "beginning with on, and off at any other time."
        watch.require(Said(label, words, (mark,), (name,)), _flashes_badly(watch, item, label, due), due)


def _due(watch: Watch, item: Output, label: str) -> Node:
    """The condition with the delays of the plan, worked out again."""
    due = watch.seen("output", item.on, label)
    if item.on_after_ms:
        due = watch.signal(f"{label}:on", Ton(due, ms(item.on_after_ms)), item.at.own)
    if item.off_after_ms:
        due = watch.signal(f"{label}:off", Tof(due, ms(item.off_after_ms)), item.at.own)
    return due


def _flashes_badly(watch: Watch, item: Output, label: str, due: Read) -> Node:
    now, mark, half = Read(output(item.name).name, Type.BOOL), item.at.own, item.flash_ms
    turned = different(now, Previous(now.name, Type.BOOL))
    limit = half + watch.plan.scan.longest_ms
    age = watch.since(label, turned, limit, mark, before_power=0)
    going = Previous(watch.forgotten(f"{label}:went", due, mark).name, Type.BOOL)
    return any_of(
        (
            all_of((now, opposite(due))),
            all_of((due, opposite(going), opposite(now))),
            all_of((due, going, turned, less(age, ms(half)))),
            all_of((due, going, at_least(age, ms(limit)))),
        )
    )


def alarms_stand(watch: Watch) -> None:
    """An alarm stands until it is gone and acknowledged; while any stands exactly one is the first out."""
    plan = watch.plan
    if plan.acknowledge is None:
        return
    mark = plan.at.of("acknowledge")
    pressed = watch.signal("acknowledge:seen", watch.seen("alarm", plan.acknowledge, "acknowledge"), mark)
    acknowledged = all_of((pressed, opposite(Previous(pressed.name, Type.BOOL))))
    for trip in plan.trips:
        latch = Read(titled(Role.TRIP, word(trip.name), trip.name).name, Type.BOOL)
        _stands(watch, trip.name, (latch, "the trip is latched"), acknowledged, trip.at.own)
    for item in plan.alarms:
        label = f"alarm.{word(item.name)}.stands:when"
        said = aloud(item.when, plan, before=SEEN_BEFORE["alarm"])
        _stands(watch, item.name, (watch.seen("alarm", item.when, label), said), acknowledged, item.at.own)
    _first_out(watch, mark)


def _stands(watch: Watch, title: str, active: tuple[Node, str], acknowledged: Node, mark: Mark) -> None:
    own = word(title)
    shown = alarm(Role.ALARM, own, title).name
    open_ = Read(alarm(Role.UNACKNOWLEDGED, own, title).name, Type.BOOL)
    label = f"{shown}.stands"
    node, said = active
    now = watch.signal(f"{label}:active", node, mark)
    comes = all_of((now, opposite(Previous(now.name, Type.BOOL))))
    waits = watch.signal(f"{label}:waits", SetDominant(comes, acknowledged), mark)
    wrong = any_of((different(waits, open_), different(any_of((now, waits)), Read(shown, Type.BOOL))))
    words = f"The alarm '{title}' stands from the scan in which {said}, until that is over and somebody has "
    words += "acknowledged it."
    watch.require(Said(label, words, (mark,), (shown,)), wrong, comes)


def _first_out(watch: Watch, mark: Mark) -> None:
    titles = alarm_titles(watch.plan)
    first = [Read(alarm(Role.FIRST_OUT, word(one), one).name, Type.BOOL) for one in titles]
    any_ = Read(of_plant(Role.ALARM).name, Type.BOOL)
    two = any_of(all_of(pair) for pair in combinations(first, 2))
    words = "While any alarm stands exactly one is the first out, and else none."
    said = Said("alarm.first_out", words, (mark,), (any_.name,))
    watch.require(said, any_of((two, different(any_of(first), any_))), any_)


SHOWN: tuple[Callable[[Watch], None], ...] = (outputs_as_told, alarms_stand)
