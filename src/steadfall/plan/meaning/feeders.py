"""Which circuits draw on a supply, and up to which of their steps.

Rule of this file: what a stage or finish step opens, by its place among the states of the circuit's sequence:
0 idle, then the stages, then the finish steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadfall import roles
from steadfall.plan.meaning.names import valves
from steadfall.plan.model import CircuitType, Feeder, MainValve, Plan
from steadfall.roles import Named, Role


def feeder_named(feeder: Feeder) -> Named:
    """The command of a main valve or pump."""
    return roles.feeder(Role.MAIN if isinstance(feeder, MainValve) else Role.PUMP, feeder.name)


def drawing(plan: Plan, supply: str) -> Mapping[str, int]:
    """The circuits that draw on a supply, each with the last of its states in which it does."""
    found = {name: _last(plan.type_of(name), supply) for name in plan.circuits}
    return {name: last for name, last in found.items() if last}


def _last(kind: CircuitType, supply: str) -> int:
    valves = {valve.name for valve in kind.valves.values() if valve.supply == supply}
    opened = [step.actions.keys() for step in kind.stages] + [step.actions.keys() for step in kind.finish]
    return max((number for number, names in enumerate(opened, 1) if valves & names), default=0)


def valves_of(plan: Plan, supply: str) -> Iterator[str]:
    """The valves that draw on a supply, `circuit.valve`."""
    for name in plan.circuits:
        for valve in plan.type_of(name).valves.values():
            if valve.supply == supply:
                yield roles.command(name, valve.name).name


def supplying(plan: Plan, valve: str) -> tuple[Named, ...]:
    """What says of each main valve and pump before a valve that its lead is over."""
    own = valves(plan)[valve]
    supply = plan.type_of(own.circuit).valves[own.valve].supply
    feeders = [one for one in plan.feeders if one.supply == supply]
    return tuple(roles.feeder(Role.READY, one.name) if one.lead_ms else feeder_named(one) for one in feeders)


def feeding(plan: Plan, circuit: str) -> tuple[Feeder, ...]:
    """What must be open or run before a circuit begins."""
    return tuple(one for one in plan.feeders if circuit in drawing(plan, one.supply))


def is_cut(plan: Plan, feeder: Feeder) -> bool:
    """Whether trips, and permissives for all water, shut or stop it: what feeds water."""
    return plan.supplies[feeder.supply].fluid == "water"
