"""The requirements that follow from any plan without being asked, of the sequence and its tables.

Rule of this file: as in `derived.guards`. Times are those of the plan; a time is over in the
first scan at or after it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from steadfall.logic.build.readings import is_bad
from steadfall.logic.build.stages import FIRST, IDLE, last_stage, row, state_names
from steadfall.logic.forms import all_of, any_of, at_least, different, equal, ms, opposite, whole
from steadfall.logic.nodes import Compare, Node, Read, Type
from steadfall.plan.meaning.aloud import together
from steadfall.plan.meaning.names import valves
from steadfall.plan.meaning.trust import sensors_of
from steadfall.plan.model import Open
from steadfall.plan.model.setting import high_end
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.derived.guards import (
    circuit_of,
    opens_ever,
    stage_before,
    stage_of,
    stands_long,
    valve_of,
)
from steadfall.prove.requirements.pressed import hand_over, stepped
from steadfall.prove.requirements.tested import ended_test
from steadfall.prove.requirements.watch import Said, Watch, command
from steadfall.roles import stage as stage_name
from steadfall.roles import target


def one_stage_at_a_time(watch: Watch) -> None:
    """No stage is skipped upward: each is entered from the one below, from above, or, the first, from
    anywhere.
    """
    for name, circuit in watch.plan.circuits.items():
        stage, before, last = stage_of(name), stage_before(name), last_stage(watch.plan.type_of(name))
        if last == FIRST:
            continue
        up = all_of((at_least(stage, whole(2)), Compare("<=", stage, whole(last))))
        above = all_of((at_least(before, stage), Compare("<=", before, whole(last))))
        below = any_of(
            all_of((equal(stage, whole(n)), equal(before, whole(n - 1)))) for n in range(2, last + 1)
        )
        words = f"{name} skips no stage on its way up."
        said = Said(f"{name}.no_stage_skipped", words, (circuit.at.own,), (stage_name(name),), name)
        watch.require(
            said, all_of((up, opposite(above), opposite(below))), all_of((up, different(stage, before)))
        )


def finish_in_order(watch: Watch) -> None:
    """The finish runs its steps in order, each for its time."""
    for name in watch.plan.circuits:
        kind = watch.plan.type_of(name)
        first, stage, before = last_stage(kind) + 1, stage_of(name), stage_before(name)
        steps = range(first, first + len(kind.finish))
        if not kind.finish:
            continue
        wrong: list[Node] = [
            all_of(
                (
                    equal(stage, whole(n)),
                    opposite(any_of((equal(before, whole(n)), equal(before, whole(n - 1))))),
                )
            )
            for n in steps[1:]
        ]
        ends = all_of((equal(stage, whole(IDLE)), different(before, whole(IDLE))))
        wrong.append(all_of((ends, different(before, whole(steps[-1])))))
        words = f"{name} comes to idle only through {' and then '.join(step.name for step in kind.finish)}."
        said = Said(f"{name}.finish_in_order", words, (kind.at.of("finish"),), (stage_name(name),), name)
        watch.require(said, any_of(wrong), ends)
        for number, step in zip(steps, kind.finish, strict=True):
            label = f"{name}.{step.name}.lasts"
            begins = different(stage, before)
            age = watch.since(label, begins, step.for_ms, step.at.own, before_power=0)
            after = number + 1 if number != steps[-1] else IDLE
            leaves = all_of((equal(before, whole(number)), equal(stage, whole(after))))
            over = at_least(age, ms(step.for_ms))
            stays = all_of((equal(before, whole(number)), equal(stage, whole(number)), over))
            words = f"The {step.name} of {name} lasts {time(step.for_ms)}, unless a new call ends it."
            said = Said(label, words, (step.at.own,), (stage_name(name),), name)
            watch.require(said, any_of((stays, all_of((leaves, opposite(over))))), leaves)


def begins_as_planned(watch: Watch) -> None:
    """At power-up a circuit that may be hot and wet begins in its finish, or, where a call that stands
    counts, at its first stage.
    """
    for name in watch.plan.circuits:
        kind = watch.plan.type_of(name)
        label, mark = f"{name}.begins", kind.at.of("cold_start")
        stage, first = stage_of(name), opposite(watch.ran())
        starts = last_stage(kind) + 1 if kind.cold_start == "finish" and kind.finish else IDLE
        right = equal(stage, whole(starts))
        words = f"At power-up {name} begins in {state_names(kind)[starts]}"
        if watch.plan.restarts:
            right = any_of((right, equal(stage, whole(FIRST))))
            words += f", or, called at once, in {kind.stages[0].name}"
        said = Said(label, f"{words}.", (mark,), (stage_name(name),), name)
        watch.require(said, all_of((first, opposite(right))), first)


def finish_reaches_idle(watch: Watch) -> None:
    """Without a call a circuit is idle once its finish has had its time."""
    for name in watch.plan.circuits:
        kind = watch.plan.type_of(name)
        whole_time = (
            sum(step.for_ms for step in kind.finish) + (len(kind.finish) + 1) * watch.plan.scan.longest_ms
        )
        label, mark = f"{name}.reaches_idle", kind.at.of("finish")
        asked = at_least(Read(target(name), Type.INT), whole(FIRST))
        by_hand = (*hand_over(watch, name), *ended_test(watch, name))
        age = watch.since(label, any_of((asked, *by_hand)), whole_time, mark, before_power=0)
        words = f"{name} is idle at the latest {time(whole_time)} after the last call"
        words += f"{' or the end of hand mode' if any(hand_over(watch, name)) else ''}"
        words += f"{' or of a test' if any(ended_test(watch, name)) else ''}"
        words += f"{', or after power-up' if watch.power_cut else ''}."
        said = Said(label, words, (mark,), (stage_name(name),), name, cuts=True)
        over = all_of((at_least(age, ms(whole_time)), opposite(asked), *map(opposite, by_hand)))
        watch.require(said, all_of((over, different(stage_of(name), whole(IDLE)))), over)


def as_the_table_says(watch: Watch) -> None:
    """In each state a valve is open where its row says so, and shut where the row does not name it."""
    for name in valves(watch.plan):
        valve, circuit = valve_of(watch, name), circuit_of(watch, name)
        kind = watch.plan.type_of(circuit)
        actions, names = row(kind, valve), state_names(kind)
        if not opens_ever(watch, name):
            _never_opens(watch, name)
            continue
        _open_throughout(watch, name, [n for n, a in enumerate(actions) if isinstance(a, Open) and n], names)
        _shut_elsewhere(watch, name, [n for n, a in enumerate(actions) if a is None and n], names)


def no_climb_on_a_bad_sensor(watch: Watch) -> None:
    """A climb never trusts a sensor that is out of its range, unless the plan says so."""
    for name in watch.plan.circuits:
        for number, stage in enumerate(watch.plan.type_of(name).stages, FIRST):
            climbs = all_of(
                (equal(stage_before(name), whole(number)), equal(stage_of(name), whole(number + 1)))
            )
            for item in sensors_of(watch.plan, name, stage):
                label, mark = f"{name}.{stage.name}.trusts_{item.name}", item.at.own
                words = f"{name} never climbs from {stage.name} while {item.name} is out of its range."
                bad = watch.signal(f"{label}:bad_sensor", is_bad(item), mark)
                steps = tuple(stepped(watch, name, stage.name))
                words = f"{words[:-1]}, unless a person steps on." if steps else words
                said = Said(label, words, (stage.at.of("climb"), mark), (stage_name(name),), name)
                watch.require(said, all_of((climbs, bad, *map(opposite, steps))), climbs)


def _in_states(circuit: str, states: Iterable[int]) -> Node:
    return any_of(equal(stage_of(circuit), whole(number)) for number in states)


def _open_throughout(watch: Watch, name: str, states: list[int], names: tuple[str, ...]) -> None:
    if not states:
        return
    valve, circuit = valve_of(watch, name), circuit_of(watch, name)
    label, mark = f"{name}.open_in_its_stages", valve.at.own
    words = f"{name} is open in {together(names[n] for n in states)}"
    words += (
        ", unless it is cut or in its shortest pause."
        if high_end(valve.shortest_shut_ms)
        else ", unless it is cut."
    )
    here = watch.signal(f"{label}:here", _in_states(circuit, states), mark)
    ready = stands_long(watch, name, label, wanted=False)
    excused = any_of((watch.cut(name, label), opposite(ready)))
    said = Said(label, words, (mark,), (name, stage_name(circuit)), circuit)
    watch.require(
        said, all_of((here, opposite(command(name)), opposite(excused))), all_of((here, command(name)))
    )


def _never_opens(watch: Watch, name: str) -> None:
    valve, circuit = valve_of(watch, name), circuit_of(watch, name)
    said = Said(f"{name}.never_open", f"{name} is never open.", (valve.at.own,), (name,), circuit)
    watch.require(said, command(name), at_least(stage_of(circuit), whole(FIRST)))


def _shut_elsewhere(watch: Watch, name: str, states: list[int], names: tuple[str, ...]) -> None:
    if not states:
        return
    valve, circuit = valve_of(watch, name), circuit_of(watch, name)
    label, mark = f"{name}.shut_elsewhere", valve.at.own
    words = f"{name} is shut in {together(names[n] for n in states)}"
    words += ", once its shortest opening is over." if high_end(valve.shortest_open_ms) else "."
    here = watch.signal(f"{label}:here", _in_states(circuit, states), mark)
    ready = stands_long(watch, name, label, wanted=True)
    said = Said(label, words, (mark,), (name, stage_name(circuit)), circuit)
    watch.require(said, all_of((here, command(name), ready)), here)


SEQUENCE: tuple[Callable[[Watch], None], ...] = (
    one_stage_at_a_time,
    finish_in_order,
    begins_as_planned,
    finish_reaches_idle,
    as_the_table_says,
    no_climb_on_a_bad_sensor,
)
