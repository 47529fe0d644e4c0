"""The requirements that follow from any plan without being asked, of valves and guards.

Rule of this file: each is worked out from the plan's text again, not from what the builder of the network
made of it; so a mistake of the builder is found too.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve

from steadfall.logic.build.conditions import Scope, input_named
from steadfall.logic.build.stages import IDLE, last_stage, row
from steadfall.logic.forms import all_of, any_of, at_least, different, equal, less, ms, opposite, whole
from steadfall.logic.nodes import Compare, Node, Previous, Read, SetDominant, Ton, Type
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.names import energised, fluid_of, is_water, valves, word
from steadfall.plan.meaning.person.valve_test import moved as moved_in_test
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import Dose, Feedback, Feeder, Open, Share, Valve
from steadfall.plan.model.setting import high_end, low_end
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.pressed import in_hand
from steadfall.prove.requirements.stated import opening
from steadfall.prove.requirements.tested import in_test
from steadfall.prove.requirements.watch import (
    TRIPPED,
    Said,
    Watch,
    command,
    command_before,
    covers,
    of_circuit,
)
from steadfall.roles import observer
from steadfall.roles import stage as stage_name


def stage_of(circuit: str) -> Read:
    """The stage of a circuit in this scan."""
    return Read(stage_name(circuit), Type.INT)


def stage_before(circuit: str) -> Previous:
    """The stage of a circuit in the last scan."""
    return Previous(stage_name(circuit), Type.INT)


def valve_of(watch: Watch, name: str) -> Valve:
    """What a plan says of a valve command."""
    signal = valves(watch.plan)[name]
    return watch.plan.type_of(signal.circuit).valves[signal.valve]


def circuit_of(watch: Watch, name: str) -> str:
    """The circuit of a valve command."""
    return valves(watch.plan)[name].circuit


def feeders_of(watch: Watch, name: str) -> tuple[Feeder, ...]:
    """The main valves and pumps before a valve."""
    supply = valve_of(watch, name).supply
    return tuple(one for one in watch.plan.feeders if one.supply == supply)


def opens_ever(watch: Watch, name: str) -> bool:
    """Whether some state opens a valve, or a person; of any other it is only said that it stays shut."""
    by_hand = watch.plan.hand.valves if watch.plan.hand else ()
    return (
        name in by_hand
        or name in moved_in_test(watch.plan)
        or any(row(watch.plan.type_of(circuit_of(watch, name)), valve_of(watch, name)))
    )


def opened(watch: Watch) -> list[str]:
    """The valves that ever open."""
    return [name for name in valves(watch.plan) if opens_ever(watch, name)]


def water(watch: Watch, circuit: str) -> list[str]:
    """The water valves of a circuit that ever open."""
    return [
        name
        for name in of_circuit(watch.plan, circuit)
        if is_water(watch.plan, name) and opens_ever(watch, name)
    ]


def ways_out(watch: Watch, circuit: str, *, outlet: bool) -> list[str]:
    """The valves in a circuit's outlet, or its drains."""
    own = {name: valve_of(watch, name) for name in of_circuit(watch.plan, circuit)}
    return [name for name, one in own.items() if one.supply is None and one.closes_outlet == outlet]


def stands_long(watch: Watch, name: str, label: str, *, wanted: bool) -> Node:
    """The valve has been open (or shut) for its shortest time, so that nothing holds it."""
    valve = valve_of(watch, name)
    shortest = valve.shortest_open_ms if wanted else valve.shortest_shut_ms
    if not high_end(shortest):
        return equal(whole(0), whole(0))
    now, before = command(name), command_before(name)
    turned = all_of((now, opposite(before))) if wanted else all_of((opposite(now), before))
    age = watch.since(f"{label}:held", turned, shortest, valve.at.own)
    return all_of((at_least(age, ms(shortest)), before if wanted else opposite(before)))


def shortest_times(watch: Watch) -> None:
    """Each valve keeps to its shortest opening and its shortest pause."""
    for name in opened(watch):
        valve, circuit = valve_of(watch, name), circuit_of(watch, name)
        if high_end(valve.shortest_open_ms):
            words = f"Every opening of {name} lasts at least {time(valve.shortest_open_ms)}"
            words += ", unless a permissive, a trip or a power cut ends it."
            said = Said(f"{name}.shortest_open", words, (valve.at.of("shortest_open"),), (name,), circuit)
            said = evolve(said, cuts=True)
            opening(watch, said, name, valve.shortest_open_ms, None)
        if high_end(valve.shortest_shut_ms):
            words = f"Every pause of {name} lasts at least {time(valve.shortest_shut_ms)}."
            said = Said(f"{name}.shortest_shut", words, (valve.at.of("shortest_shut"),), (name,), circuit)
            _pause(watch, evolve(said, cuts=True), name, valve.shortest_shut_ms)


def _pause(watch: Watch, said: Said, name: str, least: int) -> None:
    """An observer of how short pauses are."""
    now, before, mark = command(name), command_before(name), said.marks[0]
    age = watch.since(said.name, all_of((before, opposite(now))), least, mark)
    been = f"{said.name}:been_open"
    was = Previous(been, Type.BOOL)
    opens = all_of((now, opposite(before), was))
    watch.sheet.put(observer(been), any_of((was, now)), mark)
    short = [less(age, ms(least))]
    if watch.power_cut:  # no scan sees a valve shut that shuts because power is off: from the last one open
        short.append(less(watch.since(f"{said.name}:open", now, least, mark), ms(least)))
    watch.require(said, all_of((opens, any_of(short))), opens)


def swept_doses(watch: Watch) -> None:
    """In a stage that doses with its sweep open, no water goes in without the sweep."""
    for circuit in watch.plan.circuits:
        for number, stage in enumerate(watch.plan.type_of(circuit).stages, 1):
            air = [
                f"{circuit}.{name}"
                for name, action in stage.actions.items()
                if isinstance(action, Open)
                and fluid_of(watch.plan, valves(watch.plan)[f"{circuit}.{name}"]) == "air"
            ]
            dosed = [
                f"{circuit}.{name}"
                for name, action in stage.actions.items()
                if isinstance(action, Dose | Share | Open) and is_water(watch.plan, f"{circuit}.{name}")
            ]
            if not air or not dosed:
                continue
            words = f"In {circuit}.{stage.name} no water flows unless {' and '.join(air)} is open."
            said = Said(f"{circuit}.{stage.name}.swept", words, (stage.at.own,), (*dosed, *air), circuit)
            here = equal(stage_of(circuit), whole(number))
            wet = all_of((here, any_of(command(name) for name in water(watch, circuit))))
            watch.require(said, all_of((wet, opposite(all_of(command(name) for name in air)))), wet)


def drained_dry(watch: Watch) -> None:
    """No water goes in while a drain is open."""
    for circuit in watch.plan.circuits:
        for drain in ways_out(watch, circuit, outlet=False):
            for name in water(watch, circuit):
                words = f"{name} is never open while {drain} is."
                marks = (valve_of(watch, name).at.own, valve_of(watch, drain).at.own)
                said = Said(
                    f"{name}.not_with_{valves(watch.plan)[drain].valve}", words, marks, (name, drain), circuit
                )
                watch.require(said, all_of((command(name), command(drain))), command(name))


def not_into_shut_outlet(watch: Watch) -> None:
    """Nothing is let into a circuit whose way out is shut: steam would have nowhere to go."""
    for circuit in watch.plan.circuits:
        outlets = ways_out(watch, circuit, outlet=True)
        if not outlets:
            continue
        drains = ways_out(watch, circuit, outlet=False)
        out = any_of((all_of(command(name) for name in outlets), *(command(name) for name in drains)))
        for name in opened(watch):
            valve = valve_of(watch, name)
            if circuit_of(watch, name) != circuit or valve.supply is None:
                continue
            words = (
                f"{name} is open only while {' and '.join(outlets)} {'is' if len(outlets) == 1 else 'are'}"
            )
            words += f" open, or {' or '.join(drains)}." if drains else " open."
            marks = (valve.at.own, valve_of(watch, outlets[0]).at.own)
            said = Said(f"{name}.not_into_shut_outlet", words, marks, (name, *outlets, *drains), circuit)
            watch.require(said, all_of((command(name), opposite(out))), command(name))


def permissives_cut(watch: Watch) -> None:
    """A permissive that does not hold shuts its valves in the same scan."""
    for item in watch.plan.permissives:
        for name in opened(watch):
            if not covers(watch.plan, item, name):
                continue
            label = f"{name}.cut_by_{word(item.name)}"
            needs = aloud(item.needs, watch.plan, before=SEEN_BEFORE["permissive"])
            words = f"{name} is open only in scans in which {needs} ('{item.name}')."
            said = Said(label, words, (item.at.own,), (name,), circuit_of(watch, name))
            fails = opposite(watch.seen("permissive", item.needs, label))
            watch.require(said, all_of((fails, command(name))), all_of((fails, command_before(name))))


def trips_latch(watch: Watch) -> None:
    """A trip holds from the scan of its condition until it is reset; nothing else trips."""
    latches: list[Node] = []
    for item in watch.plan.trips:
        label = f"trip.{word(item.name)}.latches"
        when = watch.seen("trip", item.when, f"{label}:when")
        reset = watch.seen("reset", item.reset, f"{label}:reset")
        latch = watch.signal(f"{label}:latch", SetDominant(when, reset), item.at.own)
        latches.append(latch)
        words = f"'{item.name}' trips in the scan in which"
        words += f" {aloud(item.when, watch.plan, before=SEEN_BEFORE['trip'])}"
        words += f", and stays until {aloud(item.reset, watch.plan, before=SEEN_BEFORE['reset'])}."
        watch.require(
            Said(label, words, (item.at.own,), (TRIPPED,)), all_of((latch, opposite(watch.tripped))), latch
        )
    if latches:
        mark = watch.plan.at.of("trips")
        said = Said(
            "tripped.for_a_reason",
            "Nothing trips but by one of the trips of the plan.",
            (mark,),
            (TRIPPED,),
        )
        watch.require(said, all_of((watch.tripped, opposite(any_of(latches)))), watch.tripped)


def trips_end_cooling(watch: Watch) -> None:
    """While something is tripped every circuit is in its finish or idle, and its water is shut."""
    if not watch.plan.trips:
        return
    mark = watch.plan.at.of("trips")
    for circuit in watch.plan.circuits:
        stage, last = stage_of(circuit), last_stage(watch.plan.type_of(circuit))
        cooling = all_of((at_least(stage, whole(1)), Compare("<=", stage, whole(last))))
        words = f"While something is tripped, {circuit} is in its finish or idle."
        said = Said(f"{circuit}.trip_finishes", words, (mark,), (stage_name(circuit), TRIPPED), circuit)
        was = stage_before(circuit)
        ran = all_of((at_least(was, whole(1)), Compare("<=", was, whole(last))))
        watch.require(said, all_of((watch.tripped, cooling)), all_of((watch.tripped, ran)))
        for name in water(watch, circuit):
            words = f"{name} is shut while something is tripped."
            said = Said(f"{name}.cut_by_trip", words, (mark,), (name, TRIPPED), circuit)
            bad = all_of((watch.tripped, command(name)))
            watch.require(said, bad, all_of((watch.tripped, command_before(name))))


def at_rest(watch: Watch) -> None:
    """In idle all water is shut and every other valve is at rest."""
    for name in valves(watch.plan):
        valve, circuit = valve_of(watch, name), circuit_of(watch, name)
        idle = equal(stage_of(circuit), whole(IDLE))
        opens = valve.rest == "open"
        by_hand = watch.plan.hand is not None and name in watch.plan.hand.valves
        by_test = name in moved_in_test(watch.plan)
        words = f"{name} is {'open' if opens else 'shut'} in idle{', unless valves are in hand' * by_hand}"
        words += f"{(' or tested' if by_hand else ', unless valves are tested') * by_test}"
        held = _held_into_idle(watch, name)
        words += f", once its shortest {'pause' if opens else 'opening'} is over." if held else "."
        said = Said(f"{name}.at_rest", words, (valve.at.own,), (name, stage_name(circuit)), circuit)
        moved = command(name) if not opens else opposite(command(name))
        if held:
            moved = all_of((moved, stands_long(watch, name, f"{name}.at_rest", wanted=not opens)))
        moves = list(in_hand(watch)) if by_hand else []
        moves += in_test(watch) if by_test else ()
        watch.require(said, all_of((idle, moved, *map(opposite, moves))), idle)


def _held_into_idle(watch: Watch, name: str) -> bool:
    """Whether a valve's shortest time may still hold it when its circuit comes to idle."""
    valve, finish = valve_of(watch, name), watch.plan.type_of(circuit_of(watch, name)).finish
    opens, quiet = valve.rest == "open", 0
    for step in reversed(finish):
        if (step.actions.get(valve.name) is not None) is not opens:
            break
        quiet += low_end(step.for_ms)
    return quiet < high_end(valve.shortest_shut_ms if opens else valve.shortest_open_ms)


def turned_round(watch: Watch) -> None:
    """The output of a valve that stands open without signal is on while the valve is to be shut."""
    for name, (output, mark) in energised(watch.plan).items():
        words = f"The output of {name}, which stands open without signal, is on while {name} is to be shut, "
        words += "and off while it is to be open."
        said = Said(f"{name}.energised_to_shut", words, (mark,), (name, output.name), output.identity.circuit)
        shut = opposite(command(name))
        watch.require(said, different(Read(output.name, Type.BOOL), shut), shut)


def differs_from_switch(watch: Watch, name: str, feedback: Feedback) -> Node:
    """The limit switch of a valve is not as its command in the scan before."""
    switch = input_named(watch.sheet, Scope(watch.plan, name, circuit_of(watch, name)), feedback.input)
    return different(command_before(name), switch)


def disagreements_show(watch: Watch) -> None:
    """A limit switch that disagrees with its valve for the time allowed is noticed then, not before."""
    for one in limit_switches(watch.plan):
        name, feedback = one.command.name, one.feedback
        label, mark = f"{name}.disagreement_seen", feedback.at.own
        switch = input_named(watch.sheet, Scope(watch.plan, name, one.circuit or None), feedback.input)
        apart = different(command_before(name), switch)
        own = watch.forgotten(f"{label}:own", Ton(apart, ms(feedback.within_ms)), mark)
        words = (
            f"{name} disagrees once its limit switch has differed for {time(feedback.within_ms)} from "
            "its command in the scan before, and not sooner."
        )
        said = Said(label, words, (mark,), (name, switch.name), one.circuit)
        watch.require(said, different(own, Read(one.disagrees.name, Type.BOOL)), own)


VALVES_AND_GUARDS: tuple[Callable[[Watch], None], ...] = (
    shortest_times,
    swept_doses,
    drained_dry,
    not_into_shut_outlet,
    permissives_cut,
    trips_latch,
    trips_end_cooling,
    at_rest,
    turned_round,
    disagreements_show,
)
