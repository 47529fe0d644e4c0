"""What the valves of a supply share: its own Kv, and main valves, since all that is drawn passes them.

Rule of this file: a plan with main valves is seen as one whose supplies have them in their shared Kv; here
alone the two are told apart.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from steadfall.plan.model import MainValve, Plan, Supply


@frozen
class Part:
    """One of the resistances that the valves of a supply share: what it is called, and its Kv."""

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


def behind_mains(plan: Plan) -> Plan:
    """The plan with main valves, open, in the Kv of their supplies."""
    supplies = {}
    for name, supply in plan.supplies.items():
        shared = parts(plan, supply)
        supplies[name] = evolve(supply, kv=in_series([part.kv for part in shared])) if shared else supply
    return evolve(plan, supplies=supplies)
