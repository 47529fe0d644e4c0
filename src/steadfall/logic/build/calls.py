"""What asks for cooling: calls by condition, and demands in percent with a threshold for each stage.

Rule of this file: a stage is allowed from its threshold up, and given up below threshold less hysteresis.
"""

from __future__ import annotations

from collections.abc import Iterable

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.stages import stage_number
from steadfall.logic.forms import all_of, any_of, at_least, less, opposite, real
from steadfall.logic.nodes import Node, SetDominant, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.model import Call, Demand, Plan
from steadfall.roles import Role, allows, of_plant
from steadfall.roles import call as call_named

Asked = dict[str, dict[int, list[Node]]]  # circuit -> stage number -> what allows it


def asked(sheet: Sheet, plan: Plan) -> Asked:
    """What allows each stage of each circuit."""
    found: Asked = {name: {} for name in plan.circuits}
    for item in plan.calls:
        for stage, node in _call(sheet, plan, item) if isinstance(item, Call) else _demand(sheet, item):
            for circuit in item.circuits:
                number = stage_number(plan.type_of(circuit), stage)
                if number is not None:
                    found[circuit].setdefault(number, []).append(node)
    return found


def done(sheet: Sheet, plan: Plan, asks: Asked) -> Node | None:
    """Writes `done`, where the plan says what ends a cool-down: latched until nothing calls."""
    if plan.done is None:
        return None
    wish = of_plant(Role.DONE)
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["done"], serves=wish.identity)
    when = build(plan.done.when, sheet, scope)
    called = any_of(dict.fromkeys(node for own in asks.values() for nodes in own.values() for node in nodes))
    return sheet.put(wish, SetDominant(all_of((called, when)), opposite(called)), plan.done.at.own)


def _call(sheet: Sheet, plan: Plan, call: Call) -> Iterable[tuple[str, Node]]:
    wish = call_named(call.allows)
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["call"], serves=wish.identity)
    yield call.allows, sheet.named(wish, build(call.when, sheet, scope), call.at.own)


def _demand(sheet: Sheet, demand: Demand) -> Iterable[tuple[str, Node]]:
    signal = sheet.now(demand.of, Type.REAL)
    for stage, threshold in demand.thresholds.items():
        label = f"{demand.of}.{stage}"
        on = at_least(signal, real(threshold, f"{label}.from"))
        below = less(signal, real(threshold - demand.hysteresis, f"{label}.below"))
        node = SetDominant(on, below) if demand.hysteresis else on
        yield stage, sheet.helper(allows(demand.of, stage), node, demand.at.own)
