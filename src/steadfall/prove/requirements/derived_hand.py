"""The requirements that follow from any plan without being asked, of hand mode.

Rule of this file: as in `prove.requirements.derived`. That valves which exclude each other are never open
together, in hand or not, is required where the plan says so, and of drains in `prove.requirements.derived`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.forms import FALSE, all_of, any_of, at_least, boolean, choose, different, opposite, whole
from steadfall.logic.nodes import Node, Previous, Read, Type
from steadfall.plan.meaning.aloud import aloud, together
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.hand import excluded_by, inlets_of, outlets_of, rests_open
from steadfall.plan.model import Hand
from steadfall.prove.requirements.derived import circuit_of, stage_before, stage_of
from steadfall.prove.requirements.derived_steps import stands_long
from steadfall.prove.requirements.pressed import all_idle, hand_key, hand_over, in_hand, is_pressed
from steadfall.prove.requirements.watch import Said, Watch, command, command_before
from steadfall.roles import Role, of_plant, target
from steadfall.roles import stage as stage_name

IN_HAND = of_plant(Role.IN_HAND).name


def hand_mode_latches(watch: Watch) -> None:
    """Hand mode begins when it is asked for, and ends in idle alone, with every valve at rest."""
    hand = watch.plan.hand
    if hand is None:
        return
    own = all_of(in_hand(watch))
    when = aloud(hand.when, watch.plan, before=SEEN_BEFORE["hand"])
    words = f"Valves are in hand from the scan in which {when}, until that is no longer so, every circuit is "
    words += f"idle and {together(hand.valves)} {'are' if len(hand.valves) > 1 else 'is'} at rest."
    said = Said("hand.latches", words, (hand.at.own,), (IN_HAND,))
    watch.require(said, different(own, Read(IN_HAND, Type.BOOL)), own)


def hand_mode_ends_cooling(watch: Watch) -> None:
    """While valves are in hand no circuit is in a stage."""
    hand = watch.plan.hand
    for name in watch.plan.circuits if hand else ():
        words = f"While valves are in hand {name} is in its finish or idle."
        said = Said(f"{name}.hand_finishes", words, (hand.at.own,) if hand else (), (stage_name(name),), name)
        on, last = all_of(in_hand(watch)), len(watch.plan.type_of(name).stages)
        cools = all_of(
            (at_least(stage_of(name), whole(1)), opposite(at_least(stage_of(name), whole(last + 1))))
        )
        watch.require(said, all_of((on, cools)), all_of((on, at_least(stage_before(name), whole(1)))))


def hand_mode_hands_over(watch: Watch) -> None:
    """After hand mode a circuit runs its finish, so that what was let in by hand is let out."""
    hand = watch.plan.hand
    for name in watch.plan.circuits:
        finish = watch.plan.type_of(name).finish
        for ended in hand_over(watch, name) if hand and finish else ():
            words = (
                f"{name} begins its finish, {finish[0].name}, in the scan in which hand mode ends, unless "
            )
            words += "a call begins cooling then."
            marks = (hand.at.own,) if hand else ()
            said = Said(f"{name}.hand_over", words, marks, (stage_name(name), IN_HAND), name)
            first = whole(len(watch.plan.type_of(name).stages) + 1)
            uncalled = opposite(at_least(Read(target(name), Type.INT), whole(1)))
            wrong = all_of((ended, uncalled, different(stage_of(name), first)))
            watch.require(said, wrong, all_of((ended, uncalled)))


def valves_as_asked(watch: Watch) -> None:
    """In hand each valve does what it is asked, as far as others and what cuts it let it."""
    hand = watch.plan.hand
    if hand is None:
        return
    ready = all_of((*in_hand(watch), all_idle(watch)))
    for name, given in hand.valves.items():
        label, mark = f"{name}.by_hand", hand.at.of(f"key {name}")
        others, outlets = excluded_by(watch.plan, name), outlets_of(watch.plan, name)
        lets_in = any_of(command_before(one) for one in inlets_of(watch.plan, name))
        waits = any_of(
            (
                *(_either(watch, hand, one) for one in others),
                *(_not_both(watch, hand, one) for one in outlets),
            )
        )
        asked = all_of((_asked(watch, hand, name), opposite(waits)))
        opens = all_of((ready, any_of((asked, lets_in))))
        excused = any_of(
            (watch.cut(name, label), opposite(stands_long(watch, name, f"{label}:shut", wanted=False)))
        )
        fails = all_of((opens, opposite(command(name)), opposite(any_of((excused, command_before(name))))))
        drops = all_of(
            (
                opens,
                command_before(name),
                opposite(command(name)),
                opposite(watch.cut(name, f"{label}:drops")),
            )
        )
        long = stands_long(watch, name, f"{label}:open", wanted=True)
        stays = all_of((ready, opposite(any_of((asked, lets_in))), command(name), long))
        words = f"In hand, with every circuit idle, {name} is open while {given} asks for it"
        words += f"{_unless(others, outlets)}, unless it is cut or in its shortest pause, and at no other "
        words += "time once its shortest opening is over"
        words += (
            f"; it stays open while {together(inlets_of(watch.plan, name))} was." if lets_in != FALSE else "."
        )
        said = Said(label, words, (mark,), (name, given), circuit_of(watch, name))
        watch.require(said, any_of((fails, drops, stays)), all_of((opens, command(name))))


def _asked(watch: Watch, hand: Hand, name: str) -> Node:
    """A valve is asked to be open, by its input or at rest."""
    rest = boolean(rests_open(watch.plan, name))
    given = hand.valves.get(name)
    if given is None:
        return rest
    by_button = watch.plan.inputs[given].kind == "button"
    own = is_pressed(watch, given) if by_button else Read(given, Type.BOOL)
    return choose(hand_key(watch, hand), own, rest)


def _either(watch: Watch, hand: Hand, name: str) -> Node:
    return any_of((_asked(watch, hand, name), Previous(name, Type.BOOL)))


def _not_both(watch: Watch, hand: Hand, name: str) -> Node:
    return opposite(all_of((_asked(watch, hand, name), Previous(name, Type.BOOL))))


def _unless(others: tuple[str, ...], outlets: tuple[str, ...]) -> str:
    words = (
        f", {together(others)} {'are' if len(others) > 1 else 'is'} shut and not asked for" if others else ""
    )
    return words + (f", {together(outlets)} {'are' if len(outlets) > 1 else 'is'} open" if outlets else "")


HAND: tuple[Callable[[Watch], None], ...] = (
    hand_mode_latches,
    hand_mode_ends_cooling,
    hand_mode_hands_over,
    valves_as_asked,
)
