"""The requirements that follow from any plan without being asked, of main valves and pumps.

Rule of this file: as in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.stages import FIRST, first_finish, state_names
from steadfall.logic.forms import all_of, any_of, at_least, different, equal, ms, opposite, whole
from steadfall.logic.nodes import Compare, Node, Tof
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.feeders import drawing, feeder_named, is_cut, valves_of
from steadfall.plan.model import Feeder, MainValve
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.called import call_allows
from steadfall.prove.requirements.derived.calls import DONE
from steadfall.prove.requirements.derived.guards import circuit_of, opens_ever, stage_before, valve_of
from steadfall.prove.requirements.pressed import asked_by_hand, counts, hand_over, in_hand
from steadfall.prove.requirements.tested import ended_test, step
from steadfall.prove.requirements.watch import Said, Watch, command, command_before


def valves_behind_mains(watch: Watch) -> None:
    """No valve opens into a main valve that is shut, or with a pump that stands still."""
    for item in watch.plan.feeders:
        name, does = feeder_named(item).name, "is open" if isinstance(item, MainValve) else "runs"
        for valve in valves_of(watch.plan, item.supply):
            if not opens_ever(watch, valve):
                continue
            words = f"{valve} is open only while {name} {does}."
            marks = (item.at.own, valve_of(watch, valve).at.own)
            said = Said(f"{valve}.behind_{item.name}", words, marks, (valve, name), circuit_of(watch, valve))
            watch.require(said, all_of((command(valve), opposite(command(name)))), command(valve))


def cut_with_water(watch: Watch) -> None:
    """What feeds water is shut, or stands still, while something is tripped or a permissive is lost."""
    for item in watch.plan.feeders:
        if not is_cut(watch.plan, item) or not (watch.plan.trips or watch.plan.permissives):
            continue
        name, does = feeder_named(item).name, "is shut" if isinstance(item, MainValve) else "stands still"
        words = (
            f"{name} {does} in every scan in which something is tripped or a permissive for all water does"
        )
        said = Said(f"{name}.cut_with_water", f"{words} not hold.", (item.at.own,), (name,))
        lost = opposite(watch.free)
        watch.require(said, all_of((lost, command(name))), all_of((lost, command_before(name))))


def open_as_needed(watch: Watch) -> None:
    """A main valve is open, a pump runs, while it is needed and for its lag, and at no other time."""
    for item in watch.plan.feeders:
        name, mark = feeder_named(item).name, item.at.own
        label = f"{name}.as_needed"
        due: Node = watch.signal(f"{label}:due", _needed(watch, item, label), mark)
        if item.lag_ms:
            due = watch.forgotten(f"{label}:lag", Tof(due, ms(item.lag_ms)), mark)
        if is_cut(watch.plan, item):
            due = all_of((watch.free, due))
        words = f"{name} {'is open' if isinstance(item, MainValve) else 'runs'} while {_when(watch, item)}"
        words += f", and {time(item.lag_ms)} longer" if item.lag_ms else ""
        words += ", and at no other time."
        watch.require(Said(label, words, (mark,), (name,)), different(due, command(name)), due)


def _when(watch: Watch, item: Feeder) -> str:
    if item.when is not None:
        return aloud(item.when, watch.plan, before=SEEN_BEFORE["feeder"])
    names = watch.plan.type_of
    parts = [
        f"{circuit} is called, or was in a step up to {state_names(names(circuit))[last]} in the scan before"
        for circuit, last in drawing(watch.plan, item.supply).items()
    ]
    by_hand = ", or a valve behind it is asked for by hand" if watch.plan.hand else ""
    by_hand += ", or has its turn in a test" if watch.plan.test else ""
    if any(last >= first_finish(names(name)) for name, last in drawing(watch.plan, item.supply).items()):
        by_hand += ", or hand mode or a test has just ended" if watch.plan.hand or watch.plan.test else ""
    return f"{' or '.join(parts)}{by_hand}, or a valve behind it was open" if parts else "never"


def _needed(watch: Watch, item: Feeder, label: str) -> Node:
    if item.when is not None:
        return watch.seen("feeder", item.when, label)
    by_hand = [_by_hand(watch, valve) for valve in valves_of(watch.plan, item.supply)]
    over = [opposite(DONE)] if watch.plan.done else []
    parts: list[Node] = []
    for circuit, last in drawing(watch.plan, item.supply).items():
        kind, before = watch.plan.type_of(circuit), stage_before(circuit)
        calls = [
            node
            for place, call in enumerate(watch.plan.calls)
            if circuit in call.circuits
            for _, node in call_allows(watch, kind, call, f"{label}:{circuit}:{place}")
        ]
        parts.append(all_of((counts(watch), *over, any_of(calls))))
        parts.append(all_of((at_least(before, whole(FIRST)), Compare("<=", before, whole(last)))))
        if last >= first_finish(kind):
            parts += [*hand_over(watch, circuit), *ended_test(watch, circuit)]
    return any_of(
        (*parts, *by_hand, *(command_before(valve) for valve in valves_of(watch.plan, item.supply)))
    )


def _by_hand(watch: Watch, valve: str) -> Node:
    """A valve is asked for by hand, or has its turn in a test."""
    hand, test = watch.plan.hand, watch.plan.test
    asks = []
    if hand is not None and valve in hand.valves:
        asks.append(all_of((*in_hand(watch), asked_by_hand(watch, hand, valve))))
    if test is not None and valve in test.valves:
        asks.append(equal(step(watch, test), whole(test.valves.index(valve) + 1)))
    return any_of(asks)


FEEDERS: tuple[Callable[[Watch], None], ...] = (valves_behind_mains, cut_with_water, open_as_needed)
