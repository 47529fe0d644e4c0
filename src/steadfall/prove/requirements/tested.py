"""A test of valves as an observer sees it: its turn, whether it runs, and what it asks of each valve.

Rule of this file: as in `prove.requirements.pressed`.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.logic.forms import (
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
from steadfall.plan.meaning.person.hand import rests_open
from steadfall.plan.meaning.person.valve_test import moved, tested_circuits, turns
from steadfall.plan.model import ButtonCall, ValveTest
from steadfall.prove.requirements.called import anything_calls
from steadfall.prove.requirements.pressed import ON_TEST, all_idle, in_hand, is_pressed, just_pressed
from steadfall.prove.requirements.watch import Watch
from steadfall.roles import Named


def stops_test(watch: Watch, test: ValveTest) -> Read:
    """Something ends a test, and lets none begin."""
    name, plan = "test:off", watch.plan

    def write() -> Read:
        holds = (watch.seen("permissive", item.needs, f"{name}:{item.name}") for item in plan.permissives)
        stops = (is_pressed(watch, call.stop) for call in plan.calls if isinstance(call, ButtonCall))
        called = anything_calls(watch, name, test.at.own)
        ends = any_of((called, opposite(all_of(holds)), watch.tripped, *in_hand(watch), *stops))
        return watch.signal(name, ends, test.at.own)

    return watch.once(name, write)


def step(watch: Watch, test: ValveTest) -> Read:
    """Which turn it is, from 1; one more is the pause that closes the test, and 0 is no test."""
    return watch.once("test:step", lambda: _written(watch, test))


def _written(watch: Watch, test: ValveTest) -> Read:
    last, mark = len(test.valves) + 1, test.at.own
    before, pressed = Previous("test:step", Type.INT), just_pressed(watch, test.start)
    since = Since("test:turned", test.pause_ms + test.for_ms)
    age = watch.sheet.helper(Named("test:age", watch.forgets), since, mark)
    was_in_hand = (Previous(one.name, Type.BOOL) for one in in_hand(watch))
    begins = all_of((pressed, all_idle(watch), at_rest(watch), *map(opposite, was_in_hand)))
    due = choose(equal(before, whole(last)), ms(test.pause_ms), ms(test.pause_ms + test.for_ms))
    following = lookup(before, [whole(number) for number in (0, *range(2, last + 1), 0)])
    goes_on = choose(pressed, whole(0), choose(at_least(age, due), following, before))
    starts = choose(begins, whole(1), whole(0))
    node = choose(stops_test(watch, test), whole(0), choose(equal(before, whole(0)), starts, goes_on))
    own = watch.sheet.helper(Named("test:step", watch.forgets), node, mark)
    watch.forgotten("test:turned", different(own, before), mark)
    return own


def moves(watch: Watch, test: ValveTest) -> Node:
    """The pause of the turn is over."""
    step(watch, test)
    age = Read("test:age", Type.TIME)
    return all_of((opposite(Read("test:turned", Type.BOOL)), at_least(age, ms(test.pause_ms))))


def at_rest(watch: Watch) -> Node:
    """Every valve that a test moves was as it is in idle in the scan before."""
    rest = {name: rests_open(watch.plan, name) for name in moved(watch.plan)}
    return all_of(
        Previous(name, Type.BOOL) if is_open else opposite(Previous(name, Type.BOOL))
        for name, is_open in rest.items()
    )


def in_test(watch: Watch) -> Iterator[Read]:
    """Valves are tested, where the plan has a test: from its first turn until each is at rest again."""
    test = watch.plan.test
    if test is None:
        return
    runs, mark = different(step(watch, test), whole(0)), test.at.own
    yield watch.once(ON_TEST, lambda: watch.forgotten(ON_TEST, SetDominant(runs, at_rest(watch)), mark))


def ended_test(watch: Watch, circuit: str) -> Iterator[Node]:
    """A test has ended in this scan, of a circuit that has a valve which it moves."""
    for on in in_test(watch) if circuit in tested_circuits(watch.plan) else ():
        yield all_of((Previous(on.name, Type.BOOL), opposite(on)))


def asked_by_test(watch: Watch, test: ValveTest, valve: str) -> Node:
    """A test asks for a valve to be open in this turn; in all others it is to be as in idle."""
    rest = rests_open(watch.plan, valve)
    own = step(watch, test)
    order = tuple(enumerate(turns(watch.plan), 1))
    turned = any_of(equal(own, whole(number)) for number, turn in order if valve == turn.valve)
    opened = any_of(equal(own, whole(number)) for number, turn in order if valve in turn.opened)
    shut = any_of(equal(own, whole(number)) for number, turn in order if valve in turn.shut)
    away = all_of((turned, moves(watch, test)))
    as_now = opposite(away) if rest else away
    return choose(opened, boolean(True), choose(shut, boolean(False), as_now))
