"""Permissives and trips: what cuts the water, in the same scan.

Rule of this file: a permissive acts while it is untrue; a trip latches. A trip whose condition still holds
cannot be reset (the latch is set-dominant).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from attrs import frozen

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.forms import all_of, any_of, opposite
from steadfall.logic.nodes import Node, Read, SetDominant
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Permissive, Plan


@frozen
class Guards:
    """Answers what sequences and outputs ask: whether there may be cooling, and whether a valve may open."""

    cooling: Read  # every permissive for all water holds, and nothing has tripped
    partly: Mapping[str, Node]  # valve -> its permissives that are not for all water
    water: frozenset[str]

    def of(self, valve: str) -> Node:
        """What must hold in this very scan for the valve to be open."""
        own = [self.partly[valve]] if valve in self.partly else []
        return all_of([self.cooling, *own] if valve in self.water else own)


def word(name: str) -> str:
    """A name as one word: what is not a letter or a digit becomes a line."""
    return re.sub(r"[^A-Za-z0-9]+", "_", name).strip("_") or "unnamed"


def guards(sheet: Sheet, plan: Plan) -> Guards:
    """Writes `permitted`, `tripped` and what lies behind them."""
    holds = [_permissive(sheet, plan, item) for item in plan.permissives]
    sheet.put("permitted", all_of(holds), plan.at.of("permissives"))
    latches = [_trip(sheet, plan, number) for number in range(len(plan.trips))]
    tripped = sheet.put("tripped", any_of(latches), plan.at.of("trips"))
    pairs = list(zip(plan.permissives, holds, strict=True))
    everywhere = [node for item, node in pairs if item.all_water]
    cooling = sheet.helper("may_cool", all_of([*everywhere, opposite(tripped)]), plan.at.of("permissives"))
    return Guards(cooling, _partly(sheet, pairs), _water(plan))


def _permissive(sheet: Sheet, plan: Plan, item: Permissive) -> Node:
    label = f"permissive.{word(item.name)}"
    return sheet.named(label, build(item.needs, sheet, Scope(plan, label)), item.at.own)


def _trip(sheet: Sheet, plan: Plan, number: int) -> Read:
    item = plan.trips[number]
    scope = Scope(plan, f"trip.{word(item.name)}")
    node = SetDominant(build(item.when, sheet, scope), build(item.reset, sheet, scope))
    return sheet.helper(scope.label, node, item.at.own)


def _partly(sheet: Sheet, pairs: list[tuple[Permissive, Node]]) -> dict[str, Node]:
    found: dict[str, list[tuple[Permissive, Node]]] = {}
    for item, node in pairs:
        for valve in () if item.all_water else item.valves:
            found.setdefault(valve, []).append((item, node))
    return {
        valve: sheet.named(f"{valve}.permitted", all_of(node for _, node in own), own[0][0].at.own)
        for valve, own in found.items()
    }


def _water(plan: Plan) -> frozenset[str]:
    supplies = {name for name, supply in plan.supplies.items() if supply.fluid == "water"}
    valves = ((name, valve) for name in plan.circuits for valve in plan.type_of(name).valves.values())
    return frozenset(f"{name}.{valve.name}" for name, valve in valves if valve.supply in supplies)
