"""The requirements that follow from any plan without being asked, of the valve test.

Rule of this file: as in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

from steadfall.logic.build.stages import IDLE
from steadfall.logic.forms import all_of, any_of, at_least, boolean, different, equal, ms, opposite, whole
from steadfall.logic.nodes import Node, Previous, Read, SetDominant, Ton, Type
from steadfall.plan.meaning.aloud import together
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.person.hand import rests_open
from steadfall.plan.meaning.person.valve_test import Turn, moved, tested_circuits, turns
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.derived.asked import Asking, as_asked
from steadfall.prove.requirements.derived.guards import (
    circuit_of,
    differs_from_switch,
    stage_before,
    stage_of,
    valve_of,
)
from steadfall.prove.requirements.tested import asked_by_test, ended_test, in_test, step, stops_test
from steadfall.prove.requirements.watch import Said, Watch, command
from steadfall.roles import Role, of_plant, of_valve, target
from steadfall.roles import stage as stage_name

IN_TEST, TEST_STEP = of_plant(Role.IN_TEST).name, of_plant(Role.TEST_STEP).name


def takes_turns(watch: Watch) -> None:
    """The test begins by its button from idle alone, takes each valve in its turn, and ends at once."""
    test = watch.plan.test
    if test is None:
        return
    mark, own = test.at.own, step(watch, test)
    words = f"A test begins in the scan in which {test.start} is newly pressed with every circuit idle and "
    words += (
        f"its valves at rest in the scan before, and takes {together(test.valves)} in this order, each for "
    )
    words += f"{time(test.for_ms)} after {time(test.pause_ms)}, and {time(test.pause_ms)} more"
    said = Said("test.takes_turns", f"{words}, unless something ends it.", (mark,), (test.start, IN_TEST))
    now = Read(TEST_STEP, Type.INT)
    watch.require(said, different(own, now), different(own, whole(0)))
    ends = (
        "A test moves nothing in a scan in which something calls, a permissive is lost, something is tripped "
    )
    ends += "or in hand, or a stop button is pressed."
    off = stops_test(watch, test)
    before = any_of(in_test(watch))
    said = Said("test.ends", ends, (mark,), (IN_TEST,))
    watch.require(said, all_of((off, different(now, whole(0)))), all_of((off, before)))


def lasts_to_rest(watch: Watch) -> None:
    """Valves count as tested until each is at rest, and meanwhile no circuit cools."""
    test = watch.plan.test
    for on in in_test(watch):
        mark = (test.at.own,) if test else ()
        words = (
            f"Valves are tested from the first turn of a test on, until it is over and {_all(watch)} at rest."
        )
        watch.require(
            Said("test.lasts", words, mark, (IN_TEST,)), different(on, Read(IN_TEST, Type.BOOL)), on
        )
        for name in watch.plan.circuits:
            words = f"{name} is idle while valves are tested."
            said = Said(f"{name}.idle_in_test", words, mark, (IN_TEST, stage_name(name)), name)
            watch.require(said, all_of((on, different(stage_of(name), whole(IDLE)))), on)


def _all(watch: Watch) -> str:
    names = moved(watch.plan)
    return f"{together(names)} {'are' if len(names) > 1 else 'is'}"


def one_at_a_time(watch: Watch) -> None:
    """Of the valves of a circuit no two are moved together in a test, but one that makes way for another."""
    test, plan = watch.plan.test, watch.plan
    for on in in_test(watch):
        for circuit in tested_circuits(plan):
            own = [turn for turn in turns(plan) if circuit_of(watch, turn.valve) == circuit]
            pairs = [pair for pair in combinations(own, 2) if not _makes_way(*pair)]
            if not pairs:
                continue
            words = (
                f"While valves are tested no two of {circuit} are moved, but one that makes way for another."
            )
            shown = (IN_TEST, *(turn.valve for turn in own))
            said = Said(f"{circuit}.one_at_a_time", words, (test.at.own,) if test else (), shown, circuit)
            both = any_of(all_of(_is_moved(watch, one.valve) for one in pair) for pair in pairs)
            watch.require(
                said, all_of((on, both)), all_of((on, any_of(_is_moved(watch, one.valve) for one in own)))
            )


def _makes_way(one: Turn, two: Turn) -> bool:
    return one.valve in (*two.opened, *two.shut) or two.valve in (*one.opened, *one.shut)


def _is_moved(watch: Watch, valve: str) -> Node:
    return opposite(command(valve)) if rests_open(watch.plan, valve) else command(valve)


def finishes_after(watch: Watch) -> None:
    """After a test a circuit runs its finish, so that what was let in is let out."""
    test = watch.plan.test
    for name in tested_circuits(watch.plan):
        kind = watch.plan.type_of(name)
        for ended in ended_test(watch, name) if kind.finish else ():
            words = f"{name} begins its finish, {kind.finish[0].name}, in the scan in which a test ends with "
            words += "every valve at rest, unless a call begins cooling then."
            said = Said(
                f"{name}.test_over", words, (test.at.own,) if test else (), (stage_name(name), IN_TEST), name
            )
            uncalled = opposite(at_least(Read(target(name), Type.INT), whole(1)))
            first = whole(len(kind.stages) + 1)
            idle = equal(stage_before(name), whole(IDLE))
            due = all_of((ended, uncalled, idle))
            watch.require(said, all_of((due, different(stage_of(name), first))), due)


def moved_as_tested(watch: Watch) -> None:
    """While valves are tested each does what its turn asks, as far as others and what cuts it let it."""
    test = watch.plan.test
    for on in in_test(watch):
        if test is None:
            return
        names = moved(watch.plan)
        asked = {
            name: watch.signal(f"test:{name}:asked", asked_by_test(watch, test, name), test.at.own)
            for name in names
        }
        every: dict[str, Node] = {name: boolean(rests_open(watch.plan, name)) for name in valves(watch.plan)}
        asking = Asking(on, (every | asked).__getitem__)
        for name in names:
            said = Said(
                f"{name}.by_test",
                f"While valves are tested {name} is open while the turn asks for it",
                (test.at.own,),
                (name, IN_TEST),
                circuit_of(watch, name),
            )
            as_asked(watch, name, asking, said)


def failures_show(watch: Watch) -> None:
    """A valve has failed its test from the scan in which it disagrees, until the next test."""
    test, known = watch.plan.test, valves(watch.plan)
    for on in in_test(watch):
        for name in test.valves if test else ():
            feedback = valve_of(watch, name).feedback
            if feedback is None or test is None:
                continue
            label, circuit = f"{name}.failure_seen", circuit_of(watch, name)
            apart = Ton(differs_from_switch(watch, name, feedback), ms(feedback.within_ms))
            disagrees = watch.signal(f"{label}:own", apart, test.at.own)
            own = step(watch, test)
            begins = all_of((different(own, whole(0)), equal(Previous(own.name, Type.INT), whole(0))))
            failed = watch.forgotten(
                f"{label}:latch", SetDominant(all_of((on, disagrees)), begins), test.at.own
            )
            words = f"{name} has failed its test from the scan on in which its limit switch disagrees while "
            words += "valves are tested, until the next test begins."
            shows = of_valve(Role.FAILED_TEST, circuit, known[name].valve).name
            said = Said(label, words, (test.at.own, feedback.at.own), (name, IN_TEST), circuit)
            watch.require(said, different(failed, Read(shows, Type.BOOL)), failed)


VALVE_TEST: tuple[Callable[[Watch], None], ...] = (
    takes_turns,
    lasts_to_rest,
    one_at_a_time,
    finishes_after,
    moved_as_tested,
    failures_show,
)
