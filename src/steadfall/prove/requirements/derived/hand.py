"""The requirements that follow from any plan without being asked, of hand mode.

Rule of this file: as in `derived.guards`. That valves which exclude each other are never open
together, in hand or not, is required where the plan says so, and of drains in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.stages import IDLE
from steadfall.logic.forms import all_of, at_least, different, equal, opposite, whole
from steadfall.logic.nodes import Read, Type
from steadfall.plan.meaning.aloud import aloud, together
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.prove.requirements.derived.asked import Asking, as_asked
from steadfall.prove.requirements.derived.guards import circuit_of, stage_before, stage_of
from steadfall.prove.requirements.pressed import asked_by_hand, hand_over, in_hand
from steadfall.prove.requirements.watch import Said, Watch
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
    for name, given in hand.valves.items():
        mark, circuit = hand.at.of(f"key {name}"), circuit_of(watch, name)
        idle = all_of((*in_hand(watch), equal(stage_of(circuit), whole(IDLE))))
        asking = Asking(idle, lambda name: asked_by_hand(watch, hand, name))
        words = f"In hand {name} is open in idle while every circuit is idle and {given} asks for it"
        as_asked(watch, name, asking, Said(f"{name}.by_hand", words, (mark,), (name, given), circuit))


HAND: tuple[Callable[[Watch], None], ...] = (
    hand_mode_latches,
    hand_mode_ends_cooling,
    hand_mode_hands_over,
    valves_as_asked,
)
