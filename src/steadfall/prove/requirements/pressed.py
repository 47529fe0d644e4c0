"""Buttons and calls that are made anew, as an observer sees them: worked out from the plan's text again.

Rule of this file: as in `derived.guards`. What was pressed before power came has not just been
pressed, and a power cut ends what a press has begun.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.logic.build.readings import reading
from steadfall.logic.build.stages import IDLE
from steadfall.logic.forms import (
    all_of,
    any_of,
    boolean,
    choose,
    equal,
    less,
    opposite,
    real_less,
    whole,
)
from steadfall.logic.nodes import Node, Previous, Read, ResetDominant, SetDominant, Type
from steadfall.plan.meaning.person.by_hand import buttons_of
from steadfall.plan.meaning.person.hand import circuits_in_hand, rests_open
from steadfall.plan.meaning.person.let_go import asks_by, made
from steadfall.plan.model import ButtonCall, Call, Demand, Hand
from steadfall.prove.requirements.watch import Watch
from steadfall.roles import stage

ON_TEST = "test:on"  # an inner signal: valves are tested


def is_pressed(watch: Watch, button: str) -> Node:
    """A button is not as it normally is."""
    now, item = Read(button, Type.BOOL), watch.plan.inputs[button]
    return opposite(now) if item.normal else now


def just_pressed(watch: Watch, button: str) -> Node:
    """A button is pressed, and was not in the scan before."""
    mark, name = watch.plan.inputs[button].at.own, f"{button}:down"
    down = watch.once(name, lambda: watch.forgotten(name, is_pressed(watch, button), mark, initial=True))
    return all_of((down, opposite(Previous(down.name, Type.BOOL))))


def counts(watch: Watch) -> Node:
    """Nothing cuts the calls: nothing stands against cooling, and no valve is in hand."""
    return all_of((watch.free, *map(opposite, in_hand(watch))))


def latched(watch: Watch, call: ButtonCall) -> Read:
    """A call by buttons has been begun and not been ended."""
    name = f"calls:{watch.plan.calls.index(call)}:latch"
    begins = just_pressed(watch, call.start)
    ends = any_of((is_pressed(watch, call.stop), opposite(counts(watch))))
    return watch.once(name, lambda: watch.forgotten(name, ResetDominant(begins, ends), call.at.own))


def made_anew(watch: Watch, call: Call | Demand) -> Iterator[Node]:
    """A call has been let go since cooling was cut, and since power came; where the plan asks for that."""
    if watch.plan.restarts:
        return
    name = f"calls:{watch.plan.calls.index(call)}:waits"

    def write() -> Read:
        stands = _stands(watch, call, name)
        waits = SetDominant(opposite(counts(watch)), opposite(stands))
        return watch.forgotten(name, waits, call.at.own, initial=True)

    yield opposite(Previous(watch.once(name, write).name, Type.BOOL))


def _stands(watch: Watch, call: Call | Demand, name: str) -> Node:
    """A call has not been let go: a demand is not below what its lowest stage is given up at."""
    plan = watch.plan
    if isinstance(call, Demand) and call.of in plan.inputs:
        signal = reading(watch.sheet, plan, call.of)
        levels = (real_less(threshold, call.hysteresis) for threshold in call.thresholds.values())
        return any_of(opposite(less(signal, level)) for level in levels)
    return watch.seen("call", made(asks_by(call, plan), plan), f"{name}:stands")


def held(watch: Watch) -> Iterator[Node]:
    """The sequence is on hold, where the plan says what holds it."""
    hold = watch.plan.hold
    if hold is not None:
        name = "hold:on"

        def write() -> Read:
            return watch.forgotten(name, watch.seen("hold", hold.when, f"{name}:when"), hold.at.own)

        yield watch.once(name, write)


def stepped(watch: Watch, circuit: str, stage: str) -> Iterator[Node]:
    """A button has just been pressed by which a stage of a circuit may be left."""
    for button in buttons_of(watch.plan, circuit, stage):
        yield just_pressed(watch, button)


def hand_key(watch: Watch, hand: Hand) -> Read:
    """Hand mode is asked for."""
    name = "hand:key"

    def write() -> Read:
        return watch.forgotten(name, watch.seen("hand", hand.when, f"{name}:when"), hand.at.own)

    return watch.once(name, write)


def in_hand(watch: Watch) -> Iterator[Read]:
    """Valves are in hand, where the plan has a hand mode."""
    hand = watch.plan.hand
    if hand is None:
        return
    name = "hand:on"

    def write() -> Read:
        last = {one: Previous(one, Type.BOOL) for one in hand.valves}
        rest = [node if rests_open(watch.plan, one) else opposite(node) for one, node in last.items()]
        ends = all_of((all_idle(watch), *not_tested(watch), *rest))
        return watch.forgotten(name, SetDominant(hand_key(watch, hand), ends), hand.at.own)

    yield watch.once(name, write)


def not_tested(watch: Watch) -> Iterator[Node]:
    """No valve was tested in the scan before, where the plan has a test."""
    if watch.plan.test is not None:
        yield opposite(Previous(ON_TEST, Type.BOOL))


def hand_ready(watch: Watch, hand: Hand) -> Node:
    """Hand mode is asked for, every circuit was idle and no valve tested."""
    return all_of((hand_key(watch, hand), all_idle(watch), *not_tested(watch)))


def asked_by_hand(watch: Watch, hand: Hand, name: str) -> Node:
    """A valve is asked to be open, by its input or, where nothing moves it, as at rest."""
    rest = boolean(rests_open(watch.plan, name))
    given = hand.valves.get(name)
    if given is None:
        return rest
    by_button = watch.plan.inputs[given].kind == "button"
    own = is_pressed(watch, given) if by_button else Read(given, Type.BOOL)
    return choose(hand_ready(watch, hand), own, rest)


def hand_over(watch: Watch, circuit: str) -> Iterator[Node]:
    """Hand mode has ended in this scan, of a circuit that has a valve in it."""
    if circuit in circuits_in_hand(watch.plan):
        (on,) = in_hand(watch)
        yield all_of((Previous(on.name, Type.BOOL), opposite(on)))


def all_idle(watch: Watch) -> Node:
    """Every circuit was idle in the scan before."""
    return all_of(equal(Previous(stage(name), Type.INT), whole(IDLE)) for name in watch.plan.circuits)
