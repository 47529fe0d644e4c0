"""Judges main valves and pumps: their supplies and their names.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.plan.meaning.names import fed, quantities, shown, valves
from steadfall.plan.model import MainValve, Plan
from steadfall.plan.problems import Problems


def feeders_have_supplies(plan: Plan, problems: Problems) -> None:
    """A main valve is in a supply that exists, a pump runs for one."""
    for item in plan.feeders:
        key = "in" if isinstance(item, MainValve) else "for"
        if item.supply not in plan.supplies:
            problems.unknown(item.at.of(key), key, item.supply, "supply", plan.supplies)


def feeders_have_own_names(plan: Plan, problems: Problems) -> None:
    """A main valve or a pump is called like nothing else, and so is what the controller makes for it."""
    seen = {name.lower(): f"the input '{name}'" for name in plan.inputs}
    seen |= {name.lower(): f"the ramp '{name}'" for name in plan.ramps}
    seen |= {name.lower(): f"the setting '{name}'" for name in plan.settings}
    seen |= {name.lower(): f"the output '{name}'" for name in plan.outputs}
    seen |= {name.lower(): f"the circuit '{name}'" for name in plan.circuits}
    seen |= {name.lower(): f"the supply '{name}'" for name in plan.supplies}
    seen |= {name.lower(): f"the command of the valve '{name}'" for name in valves(plan)}
    seen |= {name.lower(): "a quantity of the plant" for name in quantities(plan)}
    seen |= {one.name.lower(): "what the controller makes" for one in shown(plan)} | seen
    places = {item.name: item.at.own for item in plan.feeders}
    for one in fed(plan):
        place = places[one.identity.of]
        if other := seen.get(one.name.lower()):
            problems.add(place, "same-name", one.name, f"{other} has this name already", "another name")
        what = "main valve" if one.identity.of in plan.main_valves else "pump"
        seen[one.name.lower()] = f"the {what} '{one.identity.of}'"


def pumps_raise_pressure(plan: Plan, problems: Problems) -> None:
    """A supply has more pressure with its pump than without."""
    for pump in plan.pumps.values():
        supply = plan.supplies.get(pump.supply)
        if supply is not None and pump.pressure_without >= supply.pressure:
            read = f"'{supply.name}' has no more pressure with the pump than without"
            place = pump.at.of("pressure_without")
            problems.add(
                place, "pump-without-use", "pressure_without", read, "less than the supply's pressure"
            )


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (feeders_have_supplies, feeders_have_own_names)
OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (pumps_raise_pressure,)
