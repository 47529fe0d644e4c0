"""Hand mode: each valve by an input of its own, while the sequences stand in idle.

Rule of this file: hand mode begins at once and cuts every call; valves are moved once every circuit is idle
and none is tested any more. It ends when it is asked for no longer and every circuit is idle with its valves
at rest. Of two valves that exclude each other and are both asked for neither opens, and one waits until the
other has been shut in the scan before; what lets something in waits for the outlet, and the outlet for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from attrs import frozen

from steadfall.logic.build.buttons import is_pressed
from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.stages import IDLE
from steadfall.logic.forms import FALSE, all_of, any_of, boolean, choose, equal, opposite, whole
from steadfall.logic.nodes import Node, Previous, Read, SetDominant, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.feeders import supplying
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import excluded_by, inlets_of, outlets_of, rests_open
from steadfall.plan.model import Plan
from steadfall.roles import Role, of_plant, of_valve, stage


@frozen
class HandMode:
    """Whether valves are in hand or tested, and what idle then does with each: whether it is to be open, and
    whether something asks for it and so for what feeds it.
    """

    on: Node = FALSE
    moved: Mapping[str, Node] = {}
    wanted: Mapping[str, Node] = {}
    tested: Node = FALSE
    test_over: Node = FALSE  # a test has ended in this scan


def hand_mode(sheet: Sheet, plan: Plan) -> HandMode:
    """Writes `in_hand` and what each valve is to do by hand, where the plan has a hand mode."""
    hand = plan.hand
    if hand is None:
        return HandMode()
    wish, mark = of_plant(Role.IN_HAND), hand.at.own
    scope = Scope(plan, wish.name, before=SEEN_BEFORE["hand"], serves=wish.identity)
    key = sheet.named(of_plant(Role.HAND_KEY), build(hand.when, sheet, scope), mark)
    tested = (Previous(of_plant(Role.IN_TEST).name, Type.BOOL),) if plan.test is not None else ()
    free = all_of((all_idle(plan), *map(opposite, tested)))
    at_rest = all_of(is_at_rest(plan, name) for name in hand.valves)
    on = sheet.put(wish, SetDominant(key, all_of((free, at_rest))), mark)
    ready = sheet.helper(of_plant(Role.HAND_READY), all_of((key, free)), mark)
    known = valves(plan)
    moved = {
        name: sheet.named(
            of_valve(Role.BY_HAND, known[name].circuit, known[name].valve),
            choose(
                on, opens(plan, name, lambda one: asks(plan, one, ready)), boolean(rests_open(plan, name))
            ),
            hand.at.of(f"key {name}"),
        )
        for name in hand.valves
    }
    return HandMode(on, moved, {name: all_of((on, asks(plan, name, ready))) for name in hand.valves})


def all_idle(plan: Plan) -> Node:
    """Every circuit was in idle at the end of the last scan."""
    return all_of(equal(Previous(stage(name), Type.INT), whole(IDLE)) for name in plan.circuits)


def is_at_rest(plan: Plan, valve: str) -> Node:
    """The last command of a valve was that of idle."""
    last = Previous(valve, Type.BOOL)
    return last if rests_open(plan, valve) else opposite(last)


def opens(plan: Plan, valve: str, asked: Callable[[str], Node]) -> Node:
    """A valve is to be open, as far as the others and what feeds it let it."""
    others, outlets = excluded_by(plan, valve), outlets_of(plan, valve)
    free = [opposite(any_of((asked(one), Previous(one, Type.BOOL)))) for one in others]
    out = [all_of((asked(one), Previous(one, Type.BOOL))) for one in outlets]
    fed = [Previous(one.name, Type.BOOL) for one in supplying(plan, valve)]
    own = all_of((asked(valve), *free, *out, *fed))
    return any_of((own, *(Previous(one, Type.BOOL) for one in inlets_of(plan, valve))))


def asks(plan: Plan, valve: str, ready: Node) -> Node:
    """A valve is asked to be open: by its input, or, where or while nothing moves it, as it is at rest."""
    rest = boolean(rests_open(plan, valve))
    if plan.hand is None or valve not in plan.hand.valves:
        return rest
    item = plan.inputs[plan.hand.valves[valve]]
    own = is_pressed(item) if item.kind == "button" else Read(item.name, Type.BOOL)
    return choose(ready, own, rest)
