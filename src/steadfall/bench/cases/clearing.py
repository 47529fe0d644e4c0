"""What people press before a session begins: trips are reset, alarms are acknowledged.

Rule of this file: what a controller keeps of the time before a session nobody can know; so it is cleared as
people clear it, and a session begins with nothing latched.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from attrs import frozen

from steadfall.bench.cases.script import Script, answer, held_ms
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan

AT_LEAST_MS = 500  # ten cycles: a scan sees it, whatever the link


@frozen
class Press:
    """Inputs as people set them, and for how long."""

    inputs: Mapping[str, Value]
    lasting_ms: int


def clearing(plan: Plan) -> tuple[Press, ...]:
    """All that is pressed, in order; nothing where the plan latches nothing, or people cannot reach it."""
    found: dict[tuple[tuple[str, Value], ...], Press] = {}
    for one in _presses(plan):
        way = tuple(sorted(one.inputs.items()))
        found[way] = max(one, found.get(way, one), key=lambda press: press.lasting_ms)
    return tuple(found.values())


def _presses(plan: Plan) -> Iterator[Press]:
    people = Script(plan).people
    asked = [one.reset for one in plan.trips]
    asked += [plan.acknowledge] if plan.acknowledge is not None else []
    for condition in asked:
        found = answer(condition, plan, people) or {}
        own = {name: value >= 0.5 for name, value in found.items() if name in people}
        if own:
            yield Press(own, AT_LEAST_MS + held_ms(condition))
