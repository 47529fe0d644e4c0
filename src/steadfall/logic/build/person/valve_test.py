"""A test of valves: each in its turn from idle, after a pause in which its way out opens and others shut.

Rule of this file: what ends the test ends it at once, yet no circuit begins to cool before every valve is at
rest again. Of two valves that exclude each other one waits for the other, as in hand mode.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, frozen

from steadfall.logic.build.buttons import is_pressed
from steadfall.logic.build.calls import Asked, Desk
from steadfall.logic.build.person.hand import HandMode, all_idle, is_at_rest, opens
from steadfall.logic.forms import (
    FALSE,
    TRUE,
    all_of,
    any_of,
    at_least,
    boolean,
    choose,
    different,
    equal,
    lookup,
    ms,
    opposite,
    whole,
)
from steadfall.logic.nodes import Node, Previous, Read, SetDominant, Since, Type
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import rests_open
from steadfall.plan.meaning.person.valve_test import Turn, moved, turns
from steadfall.plan.model import ButtonCall, ValveTest
from steadfall.roles import Role, of_plant, of_valve


@frozen
class Run:
    """The rows of a test: which turn it is, whether its valve stands moved, whether any valve is moved."""

    step: Read
    moves: Node
    begins: Node
    on: Read


def valve_test(desk: Desk, asks: Asked, hand: HandMode) -> HandMode:
    """Writes the turns of a test, where the plan has one; gives what idle then does with each valve."""
    test = desk.plan.test
    if test is None:
        return hand
    plan, sheet, mark, known = desk.plan, desk.sheet, test.at.own, valves(desk.plan)
    run, order = _run(desk, test, _off(desk, asks, hand)), turns(plan)
    asked = {
        name: sheet.named(
            of_valve(Role.TEST_ASKS, known[name].circuit, known[name].valve),
            _asked(name, order, run, rests_open(plan, name)),
            mark,
        )
        for name in moved(plan)
    }
    idle = {
        name: sheet.named(
            of_valve(Role.BY_TEST, known[name].circuit, known[name].valve),
            choose(
                run.on,
                opens(plan, name, lambda one: asked.get(one, boolean(rests_open(plan, one)))),
                hand.moved.get(name, boolean(rests_open(plan, name))),
            ),
            mark,
        )
        for name in moved(plan)
    }
    _failures(desk, test, run)
    over = all_of((Previous(run.on.name, Type.BOOL), opposite(run.on)))
    turn_of = {turn.valve: equal(run.step, whole(number)) for number, turn in enumerate(order, 1)}
    return evolve(
        hand,
        moved={**hand.moved, **idle},
        wanted=_joined(hand.wanted, turn_of),
        tested=run.on,
        test_over=sheet.helper(of_plant(Role.TEST_OVER), over, mark),
    )


def _off(desk: Desk, asks: Asked, hand: HandMode) -> Node:
    """What ends a test, and lets none begin."""
    plan = desk.plan
    permitted, tripped = (Read(of_plant(role).name, Type.BOOL) for role in (Role.PERMITTED, Role.TRIPPED))
    called = (node for own in asks.values() for nodes in own.values() for node in nodes)
    stops = (is_pressed(plan.inputs[call.stop]) for call in plan.calls if isinstance(call, ButtonCall))
    return any_of(dict.fromkeys((*called, opposite(permitted), tripped, hand.on, *stops)))


def _run(desk: Desk, test: ValveTest, off: Node) -> Run:
    sheet, plan, mark, last = desk.sheet, desk.plan, test.at.own, len(test.valves) + 1
    ends = sheet.helper(of_plant(Role.TEST_OFF), off, mark)
    wish, turn = of_plant(Role.TEST_STEP), sheet.free(of_plant(Role.TEST_TURN))
    before, pressed = Previous(wish.name, Type.INT), desk.buttons.just_pressed(test.start)
    time = sheet.helper(of_plant(Role.TEST_TIME), Since(turn.name, test.pause_ms + test.for_ms), mark)
    pause = ms(test.pause_ms, "test.pause")
    at_rest = all_of(is_at_rest(plan, name) for name in moved(plan))
    begins = all_of((pressed, all_idle(plan), at_rest, *_not_just_in_hand(plan.hand is not None)))
    turn_time = ms(test.pause_ms + test.for_ms, "test.turn")
    over = at_least(time, choose(equal(before, whole(last)), pause, turn_time))
    onward = choose(over, lookup(before, map(whole, (0, *range(2, last + 1), 0))), before)
    goes = choose(
        equal(before, whole(0)), choose(begins, whole(1), whole(0)), choose(pressed, whole(0), onward)
    )
    step = sheet.put(wish, choose(ends, whole(0), goes), mark)
    turned = sheet.put(turn, different(step, before), mark)
    moves = all_of((opposite(turned), at_least(time, pause)))
    on = sheet.put(of_plant(Role.IN_TEST), SetDominant(different(step, whole(0)), at_rest), mark)
    first = all_of((equal(before, whole(0)), different(step, whole(0))))
    return Run(step, sheet.helper(of_plant(Role.TEST_MOVES), moves, mark), first, on)


def _not_just_in_hand(has_hand: bool) -> tuple[Node, ...]:
    """In the scan in which hand mode ends the finish begins, and no test."""
    return (opposite(Previous(of_plant(Role.IN_HAND).name, Type.BOOL)),) if has_hand else ()


def _asked(valve: str, order: tuple[Turn, ...], run: Run, rest: bool) -> Node:
    """Whether a valve is to be open in each turn, as far as the others let it."""
    usual, away = boolean(rest), opposite(run.moves) if rest else run.moves
    each = [
        away
        if valve == turn.valve
        else TRUE
        if valve in turn.opened
        else FALSE
        if valve in turn.shut
        else usual
        for turn in order
    ]
    return lookup(run.step, [usual, *each, usual])


def _failures(desk: Desk, test: ValveTest, run: Run) -> None:
    """Writes whether a valve with a limit switch disagreed, from the scan on in which it did so to the next
    test.
    """
    known = valves(desk.plan)
    for name in test.valves:
        own = known[name]
        if desk.plan.type_of(own.circuit).valves[own.valve].feedback is not None:
            disagrees = Read(of_valve(Role.DISAGREES, own.circuit, own.valve).name, Type.BOOL)
            node = SetDominant(all_of((run.on, disagrees)), run.begins)
            desk.sheet.put(of_valve(Role.FAILED_TEST, own.circuit, own.valve), node, test.at.own)


def _joined(one: Mapping[str, Node], two: Mapping[str, Node]) -> dict[str, Node]:
    """What asks for a valve by hand or in its turn."""
    return {name: any_of(own[name] for own in (one, two) if name in own) for name in {**one, **two}}
