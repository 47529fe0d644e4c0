"""What valves moved by hand must heed of each other.

Rule of this file: worked out from the plan alone, for the program and for what is required of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.plan.meaning.names import is_water, valves
from steadfall.plan.model import Exclusive, Never, Plan
from steadfall.plan.model.condition import And, Condition, Signal


def circuits_in_hand(plan: Plan) -> tuple[str, ...]:
    """The circuits that have a valve which is moved by hand."""
    known = valves(plan)
    named = plan.hand.valves if plan.hand else ()
    return tuple(dict.fromkeys(known[name].circuit for name in named if name in known))


def rests_open(plan: Plan, valve: str) -> bool:
    """Whether a valve is open in idle."""
    own = valves(plan)[valve]
    return plan.type_of(own.circuit).valves[own.valve].rest == "open"


def excluded_by(plan: Plan, valve: str) -> tuple[str, ...]:
    """The valves that may not be open together with this one: a drain with water, and what the plan says."""
    pairs = (*_drains(plan), *_stated(plan))
    found = [two if one == valve else one for one, two in pairs if valve in (one, two)]
    return tuple(dict.fromkeys(found))


def outlets_of(plan: Plan, valve: str) -> tuple[str, ...]:
    """The valves in the outlet of a circuit, of a valve that lets something in; none of any other."""
    own = valves(plan)[valve]
    kind = plan.type_of(own.circuit)
    if kind.valves[own.valve].supply is None:
        return ()
    return tuple(f"{own.circuit}.{one.name}" for one in kind.valves.values() if one.closes_outlet)


def inlets_of(plan: Plan, valve: str) -> tuple[str, ...]:
    """What lets something into the circuit whose outlet this valve shuts; none of any other valve."""
    return tuple(name for name in valves(plan) if valve in outlets_of(plan, name))


def _drains(plan: Plan) -> Iterator[tuple[str, str]]:
    for name, signal in valves(plan).items():
        kind = plan.type_of(signal.circuit)
        one = kind.valves[signal.valve]
        if one.supply is None and not one.closes_outlet:
            own = (f"{signal.circuit}.{valve}" for valve in kind.valves)
            yield from ((name, valve) for valve in own if is_water(plan, valve))


def _stated(plan: Plan) -> Iterator[tuple[str, str]]:
    """Two valves that a requirement keeps from being open together."""
    known = valves(plan)
    for item in plan.requirements:
        parts: tuple[Condition, ...] = ()
        if isinstance(item, Exclusive):
            parts = item.conditions
        elif isinstance(item, Never) and isinstance(item.condition, And) and len(item.condition.parts) == 2:
            parts = item.condition.parts
        named = [part.name for part in parts if isinstance(part, Signal) and part.name in known]
        if isinstance(item, Exclusive) or len(named) == len(parts):
            yield from ((a, b) for n, a in enumerate(named) for b in named[n + 1 :] if a != b)
