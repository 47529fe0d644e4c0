"""Which circuits fail alike, so that the failures of one stand for those of the others.

Two do if the plan stays the same when their names are exchanged, and those of what they cool: same metal,
same signals, same alarms, trips and limits. A limit switch, an alarm or a limit that only one of them has
makes them different, for it decides what is noticed and what is broken. That doses take turns does not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

import attrs

from steadfall.plan.model import Alarm, Circuit, Goal, Limit, Permissive, Plan, Trip
from steadfall.plan.model.condition import And, Or
from steadfall.source import Marks

# What of a plan says how a circuit fails, and who notices.
SECTIONS = (
    *("bodies", "gas_streams", "links", "circuits", "inputs", "ramps", "calls", "permissives"),
    *("trips", "alarms", "limits", "goals", "done", "hold"),
)
# Titles for people, and by how much doses lag: no two circuits have the same.
LEFT_OUT: Mapping[type, frozenset[str]] = {
    Alarm: frozenset({"name"}),
    Circuit: frozenset({"delay_doses_ms"}),
    Goal: frozenset({"text"}),
    Limit: frozenset({"text"}),
    Permissive: frozenset({"name"}),
    Trip: frozenset({"name"}),
}
Names = Mapping[str, str]


def stand_ins(plan: Plan) -> Mapping[str, tuple[str, ...]]:
    """The circuits whose failures are tried, each with those that it stands for."""
    found: dict[str, list[str]] = {}
    for name in plan.circuits:
        first = next((one for one in found if alike(plan, one, name)), None)
        if first is None:
            found[name] = []
        else:
            found[first].append(name)
    return {first: tuple(others) for first, others in found.items()}


def alike(plan: Plan, one: str, other: str) -> bool:
    """Whether the plan stays the same when two circuits are exchanged."""
    if plan.circuits[one].type != plan.circuits[other].type:
        return False
    hosts = plan.circuits[one].host, plan.circuits[other].host
    exchanged = {one: other, other: one, hosts[0]: hosts[1], hosts[1]: hosts[0]}
    said = [getattr(plan, section) for section in SECTIONS]
    return _form(said, {}) == _form(said, exchanged)


def _form(thing: object, names: Names) -> object:
    """Something of a plan under other names, without what is for people only and in no order."""
    if isinstance(thing, str):
        return ".".join(names.get(part, part) for part in thing.split("."))
    if isinstance(thing, And | Or):
        return type(thing), frozenset(_form(part, names) for part in thing.parts)
    kind = type(thing)
    if attrs.has(kind):
        left_out = LEFT_OUT.get(kind, frozenset())
        fields = [field.name for field in attrs.fields(kind) if field.eq and field.name not in left_out]
        parts = [getattr(thing, name) for name in fields]
        return kind, tuple(_form(part, names) for part in parts if not isinstance(part, Marks))
    if isinstance(thing, Mapping):
        return frozenset((_form(key, names), _form(value, names)) for key, value in thing.items())
    if isinstance(thing, tuple | list):
        return frozenset(Counter(_form(part, names) for part in thing).items())
    return thing
