"""Permissives and trips: what cuts the water, in the same scan.

Rule of this file: a permissive acts while it is untrue; a trip latches. A trip whose condition still holds
cannot be reset (the latch is set-dominant).
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, field, frozen

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.forms import FALSE, all_of, any_of, opposite
from steadfall.logic.nodes import Node, Read, SetDominant
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.names import valves, word
from steadfall.plan.model import Permissive, Plan
from steadfall.roles import Role, of_plant, of_valve, titled


@frozen
class Guards:
    """Answers what sequences and outputs ask: whether there may be cooling, and whether a valve may open."""

    cooling: Read  # every permissive for all water holds, and nothing has tripped
    partly: Mapping[str, Node]  # valve -> its permissives that are not for all water
    water: frozenset[str]
    in_hand: Node = FALSE  # valves are moved by hand
    tested: Node = FALSE  # valves are tested
    done: Node | None = None  # the cool-down has ended
    supplied: Mapping[str, Node] = field(factory=dict)  # circuit -> its supplies are there
    fed: Mapping[str, Node] = field(factory=dict)  # valve -> what a condition of the plan leaves open for it

    @property
    def counts(self) -> Node:
        """Nothing cuts the calls: nothing stands against cooling, and no valve is moved by hand."""
        return all_of((self.cooling, opposite(self.in_hand)))

    @property
    def free(self) -> Node:
        """Nothing cuts the calls, and the cool-down has not ended."""
        return self.counts if self.done is None else all_of((self.counts, opposite(self.done)))

    def to_cool(self, circuit: str) -> Node:
        """What must hold for a circuit to cool, besides a call."""
        own = (self.supplied[circuit],) if circuit in self.supplied else ()
        return all_of((self.free, opposite(self.tested), *own))

    def of(self, valve: str) -> Node:
        """What must hold in this very scan for the valve to be open."""
        own = [known[valve] for known in (self.partly, self.fed) if valve in known]
        return all_of([self.cooling, *own] if valve in self.water else own)


def guards(sheet: Sheet, plan: Plan) -> Guards:
    """Writes `permitted`, `tripped` and what lies behind them."""
    holds = [_permissive(sheet, plan, item) for item in plan.permissives]
    sheet.put(of_plant(Role.PERMITTED), all_of(holds), plan.at.of("permissives"))
    latches = [_trip(sheet, plan, number) for number in range(len(plan.trips))]
    tripped = sheet.put(of_plant(Role.TRIPPED), any_of(latches), plan.at.of("trips"))
    pairs = list(zip(plan.permissives, holds, strict=True))
    everywhere = [node for item, node in pairs if item.all_water]
    free = all_of([*everywhere, opposite(tripped)])
    cooling = sheet.helper(of_plant(Role.MAY_COOL), free, plan.at.of("permissives"))
    return Guards(cooling, _partly(sheet, plan, pairs), _water(plan))


def _permissive(sheet: Sheet, plan: Plan, item: Permissive) -> Node:
    wish = titled(Role.PERMISSIVE, word(item.name), item.name)
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["permissive"], serves=wish.identity)
    return sheet.named(wish, build(item.needs, sheet, scope), item.at.own)


def _trip(sheet: Sheet, plan: Plan, number: int) -> Read:
    item = plan.trips[number]
    wish = titled(Role.TRIP, word(item.name), item.name)
    when = Scope(plan, wish.name, before=SEEN_BEFORE["trip"], serves=wish.identity)
    reset = evolve(when, before=SEEN_BEFORE["reset"])
    node = SetDominant(build(item.when, sheet, when), build(item.reset, sheet, reset))
    known = wish.name in sheet.types  # of two trips that are one word only the first has it
    return sheet.helper(wish, node, item.at.own) if known else sheet.put(wish, node, item.at.own)


def _partly(sheet: Sheet, plan: Plan, pairs: list[tuple[Permissive, Node]]) -> dict[str, Node]:
    found: dict[str, list[tuple[Permissive, Node]]] = {}
    for item, node in pairs:
        for valve in () if item.all_water else item.valves:
            found.setdefault(valve, []).append((item, node))
    known = valves(plan)
    return {
        name: sheet.named(
            of_valve(Role.PERMITTED, known[name].circuit, known[name].valve),
            all_of(node for _, node in own),
            own[0][0].at.own,
        )
        for name, own in found.items()
    }


def _water(plan: Plan) -> frozenset[str]:
    supplies = {name for name, supply in plan.supplies.items() if supply.fluid == "water"}
    valves = ((name, valve) for name in plan.circuits for valve in plan.type_of(name).valves.values())
    return frozenset(f"{name}.{valve.name}" for name, valve in valves if valve.supply in supplies)
