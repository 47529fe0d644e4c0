"""Advice on what nobody gets to see: a trip or an alarm without lamp, horn or register.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import shown, signals
from steadfall.plan.model import Alarm, Plan, Trip
from steadfall.plan.model.condition import Signal
from steadfall.plan.problems import folded
from steadfall.roles import Role
from steadfall.source import Problem

_ONES = (Role.ALARM, Role.UNACKNOWLEDGED, Role.FIRST_OUT, Role.TRIP)


def shown_nowhere(plan: Plan) -> Advice:
    """In a plan that shows anything, each trip and alarm is shown by an output, or has an address."""
    if not plan.outputs and plan.acknowledge is None:
        return
    known = signals(plan)
    parts = [part for item in plan.outputs.values() for part in walk(item.on) if isinstance(part, Signal)]
    seen = [known[part.name].identity for part in parts if part.name in known]
    seen += [made.identity for made in shown(plan) if made.name in plan.io.terminals]
    titles = {one.of for one in seen if one.role in _ONES}
    alarms = any(one.role in _ONES and not one.of for one in seen)
    trips = any(one.role is Role.TRIPPED for one in seen)
    rows: list[Trip | Alarm] = [*plan.trips, *plan.alarms]
    unseen: list[Problem] = []
    for item in rows:
        by_trip = isinstance(item, Trip) and trips
        if item.name not in titles and not (alarms and plan.acknowledge is not None) and not by_trip:
            read = f"no output shows '{item.name}', and it has no address"
            expected = "a lamp, a horn, or a register in 'io'"
            unseen.append(Problem(item.at.own, "shown-nowhere", "name", read, expected))
    if unseen:
        yield folded(sorted(unseen))


PIECES: tuple[Piece, ...] = (shown_nowhere,)
