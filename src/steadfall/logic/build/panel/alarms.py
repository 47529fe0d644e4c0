"""Alarms: each stands from its condition on until that is gone and a person has acknowledged it.

Rule of this file: words after ISA-18.2. An alarm is *active* while its condition holds (a trip: while it is
latched), *not acknowledged* from the scan in which it becomes active until the acknowledgement, and *stands*
while it is either. The *first out* is the one that came while none stood; of several in one scan the one that
the plan names first, trips before others. It keeps that mark until none stands.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.forms import FALSE, all_of, any_of, opposite
from steadfall.logic.nodes import Node, Previous, Read, SetDominant, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.names import alarm_titles, word
from steadfall.plan.model import Plan
from steadfall.roles import Role, alarm, of_plant, titled
from steadfall.source import Mark


@frozen
class Source:
    """What an alarm is raised by."""

    title: str
    active: Node
    mark: Mark


def alarms(sheet: Sheet, plan: Plan) -> None:
    """Writes every alarm, what stands, what is not acknowledged."""
    if plan.acknowledge is None:
        return
    mark = plan.at.of("acknowledge")
    own = of_plant(Role.PRESSED)
    scope = Scope(plan, own.name, before=SEEN_BEFORE["alarm"], serves=own.identity)
    pressed = sheet.helper(own, build(plan.acknowledge, sheet, scope), mark)
    # An edge: a button that is jammed acknowledges nothing that comes later.
    acknowledged = sheet.helper(of_plant(Role.ACKNOWLEDGE), _comes(pressed), mark)
    rows = [_alarm(sheet, source, acknowledged) for source in _sources(sheet, plan)]
    none_stood = opposite(Previous(of_plant(Role.ALARM).name, Type.BOOL))
    stands = sheet.put(of_plant(Role.ALARM), any_of(one for one, _ in rows), mark)
    sheet.put(of_plant(Role.UNACKNOWLEDGED), any_of(two for _, two in rows), mark)
    earlier: list[Node] = []
    for source, (one, _) in zip(alarm_titles(plan), rows, strict=True):
        wish = alarm(Role.FIRST_OUT, word(source), source)
        came = all_of((one, none_stood, *map(opposite, earlier)))
        last = Previous(wish.name, Type.BOOL)
        sheet.put(wish, any_of((came, all_of((last, stands)))), mark)
        earlier.append(one)


def _alarm(sheet: Sheet, source: Source, acknowledged: Node) -> tuple[Read, Read]:
    """Whether it stands, and whether it is not acknowledged."""
    own, mark = word(source.title), source.mark
    active = sheet.helper(alarm(Role.ACTIVE, own, source.title), source.active, mark)
    comes = sheet.helper(alarm(Role.COMES, own, source.title), _comes(active), mark)
    wish = alarm(Role.UNACKNOWLEDGED, own, source.title)
    open_ = sheet.put(wish, SetDominant(comes, acknowledged), mark)
    return sheet.put(alarm(Role.ALARM, own, source.title), any_of((active, open_)), mark), open_


def _comes(now: Read) -> Node:
    """It holds, and did not in the scan before."""
    return all_of((now, opposite(Previous(now.name, Type.BOOL))))


def _sources(sheet: Sheet, plan: Plan) -> Iterator[Source]:
    for trip in plan.trips:
        latch = titled(Role.TRIP, word(trip.name), trip.name).name
        yield Source(trip.name, Read(latch, Type.BOOL) if latch in sheet.types else FALSE, trip.at.own)
    for item in plan.alarms:
        wish = alarm(Role.ACTIVE, word(item.name), item.name)
        scope = Scope(plan, wish.name, before=SEEN_BEFORE["alarm"], serves=wish.identity)
        yield Source(item.name, build(item.when, sheet, scope), item.at.own)
