"""What several share: a supply's own Kv and its main valves, an outlet's own Kv and the valves in it.

Rule of this file: a plan with such valves is seen as one whose supplies and outlets have them, open, in their
Kv; here alone they are told apart.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from steadfall.plan.model import CircuitType, MainValve, Plan, Supply


@frozen
class Part:
    """One of several resistances in a row: what it is called, and its Kv."""

    name: str
    kv: float


def in_series(kvs: Sequence[float]) -> float:
    """The Kv of several, one behind the other."""
    return float(sum(kv**-2 for kv in kvs) ** -0.5)


def mains_of(plan: Plan, supply: str) -> tuple[MainValve, ...]:
    """The main valves in a supply."""
    return tuple(main for main in plan.main_valves.values() if main.supply == supply)


def parts(plan: Plan, supply: Supply) -> tuple[Part, ...]:
    """What the valves of a supply share, but for its line; of the plan as it is written."""
    own = () if supply.kv is None else (Part("its own kv", supply.kv),)
    return (*own, *(Part(main.name, main.kv) for main in mains_of(plan, supply.name)))


def outlet_parts(kind: CircuitType) -> tuple[Part, ...]:
    """What everything that leaves a circuit passes, but for its channel; of the type as it is written."""
    valves = (valve for valve in kind.valves.values() if valve.closes_outlet)
    return (Part("its own kv", kind.outlet.kv), *(Part(valve.name, valve.kv) for valve in valves))


def narrowest(several: Sequence[Part]) -> Part:
    """The one with the smallest Kv."""
    return min(several, key=lambda part: part.kv)


def widened(several: Sequence[Part], least: float) -> float | None:
    """The Kv of the narrowest with which all of them come to so much; None where the others do not allow it.

    >>> round(widened([Part("one", 1.0), Part("two", 3.0)], 2.0), 3)  # (1/4 - 1/9) ** -0.5
    2.683
    """
    if least <= 0.0:
        return None
    left = least**-2 - (in_series([part.kv for part in several]) ** -2 - narrowest(several).kv ** -2)
    return left**-0.5 if left > 0.0 else None


def as_it_flows(plan: Plan) -> Plan:
    """The plan with main valves in the Kv of their supplies, and valves in outlets in that of the outlet."""
    supplies = {}
    for name, supply in plan.supplies.items():
        shared = parts(plan, supply)
        supplies[name] = evolve(supply, kv=in_series([part.kv for part in shared])) if shared else supply
    kinds = {}
    for name, kind in plan.circuit_types.items():
        whole = in_series([part.kv for part in outlet_parts(kind)])
        kinds[name] = evolve(kind, outlet=evolve(kind.outlet, kv=whole))
    return evolve(plan, supplies=supplies, circuit_types=kinds)
