"""What asks for cooling: calls by condition or buttons, demands in percent with a threshold for each stage.

Rule of this file: a stage is allowed from its threshold up, and given up below threshold less hysteresis. A
call by buttons begins with a press; what ends it wins: the other button, a trip, a lost permissive. Any other
call that stands when power comes, or when cooling is cut, must be let go before it counts (`restart`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from attrs import frozen

from steadfall.logic.build.buttons import Buttons, is_pressed
from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.guards import Guards
from steadfall.logic.build.readings import reading
from steadfall.logic.build.stages import stage_number
from steadfall.logic.forms import all_of, any_of, at_least, less, opposite, real, real_less
from steadfall.logic.nodes import Node, Previous, ResetDominant, SetDominant, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.person.let_go import asks_by, made
from steadfall.plan.model import ButtonCall, Call, Demand, Plan
from steadfall.roles import Role, allows, let_go, of_plant, started
from steadfall.roles import call as call_named
from steadfall.source import Mark

Asked = dict[str, dict[int, list[Node]]]  # circuit -> stage number -> what allows it


@frozen
class Desk:
    """What the calls of a plan are written with."""

    sheet: Sheet
    plan: Plan
    guards: Guards
    buttons: Buttons


def asked(desk: Desk) -> Asked:
    """What allows each stage of each circuit."""
    plan = desk.plan
    found: Asked = {name: {} for name in plan.circuits}
    for item in plan.calls:
        for stage, node in FORMS[type(item)](desk, item):
            for circuit in item.circuits:
                number = stage_number(plan.type_of(circuit), stage)
                if number is not None:
                    found[circuit].setdefault(number, []).append(node)
    return found


def done(desk: Desk, asks: Asked) -> Node | None:
    """Writes `done`, where the plan says what ends a cool-down: latched until nothing calls, or a button is
    pressed anew that begins a call.
    """
    sheet, plan = desk.sheet, desk.plan
    if plan.done is None:
        return None
    wish = of_plant(Role.DONE)
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["done"], serves=wish.identity)
    when = build(plan.done.when, sheet, scope)
    called = any_of(dict.fromkeys(node for own in asks.values() for nodes in own.values() for node in nodes))
    anew = [desk.buttons.just_pressed(item.start) for item in plan.calls if isinstance(item, ButtonCall)]
    ends = any_of((opposite(called), *dict.fromkeys(anew)))
    return sheet.put(wish, SetDominant(all_of((called, when)), ends), plan.done.at.own)


def _call(desk: Desk, call: Call) -> Iterable[tuple[str, Node]]:
    sheet, plan = desk.sheet, desk.plan
    wish = call_named(call.allows)
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["call"], serves=wish.identity)
    asks = sheet.named(wish, build(call.when, sheet, scope), call.at.own)
    yield call.allows, all_of((asks, *_new(desk, call.allows, _of(desk, call), call.at.own)))


def _of(desk: Desk, call: Call | Demand) -> Callable[[Scope], Node]:
    """That a call has not been let go, as far as it is a condition that says so."""
    return lambda scope: build(made(asks_by(call, desk.plan), desk.plan), desk.sheet, scope)


def _new(desk: Desk, owner: str, stands: Callable[[Scope], Node], mark: Mark) -> Iterable[Node]:
    """That the call has been let go since cooling was cut, in a scan before this one, where the plan asks for
    that.
    """
    if desk.plan.restarts:
        return
    wish = desk.sheet.free(let_go(owner))
    scope = Scope(desk.plan, wish.name, before=SEEN_BEFORE["call"], serves=wish.identity)
    waits = Previous(wish.name, Type.BOOL, mark=mark)
    cut = opposite(desk.guards.counts)
    desk.sheet.put(wish, any_of((cut, all_of((waits, stands(scope))))), mark, initial=True)
    yield opposite(waits)


def _by_buttons(desk: Desk, call: ButtonCall) -> Iterable[tuple[str, Node]]:
    begins = desk.buttons.just_pressed(call.start)
    ends = any_of((is_pressed(desk.plan.inputs[call.stop]), opposite(desk.guards.counts)))
    wish = started(call.start, call.allows)
    yield call.allows, desk.sheet.helper(wish, ResetDominant(begins, ends), call.at.own)


def _demand(desk: Desk, demand: Demand) -> Iterable[tuple[str, Node]]:
    sheet = desk.sheet
    plan = desk.plan
    is_input = demand.of in plan.inputs
    signal = reading(sheet, plan, demand.of) if is_input else sheet.now(demand.of, Type.REAL)
    labels = {stage: f"{demand.of}.{stage}" for stage in demand.thresholds}
    lower = {
        stage: less(signal, real_less(threshold, demand.hysteresis, f"{labels[stage]}.below"))
        for stage, threshold in demand.thresholds.items()
    }
    given = any_of(map(opposite, lower.values()))
    stands = _of(desk, demand) if demand.of in plan.ramps else lambda _: given
    new = tuple(_new(desk, demand.of, stands, demand.at.own))
    for stage, threshold in demand.thresholds.items():
        label, below = labels[stage], lower[stage]
        on = all_of((at_least(signal, real(threshold, f"{label}.from")), *new))
        ends = any_of((below, *map(opposite, new)))
        node = SetDominant(on, ends) if demand.gives_up_lower else on
        yield stage, sheet.helper(allows(demand.of, stage), node, demand.at.own)


FORMS: Mapping[type, Callable[[Desk, Any], Iterable[tuple[str, Node]]]] = {
    Call: _call,
    ButtonCall: _by_buttons,
    Demand: _demand,
}
