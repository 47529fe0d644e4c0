"""The requirements that follow from any plan without being asked, of what a person does at the panel.

Rule of this file: as in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Callable

from steadfall.logic.build.stages import FIRST, last_stage
from steadfall.logic.forms import all_of, any_of, at_least, different, equal, opposite, whole
from steadfall.logic.nodes import Compare, Node, Read, Type
from steadfall.plan.meaning.person.let_go import asks_by
from steadfall.plan.model import ButtonCall, Call, Demand
from steadfall.prove.requirements.derived.guards import stage_before, stage_of
from steadfall.prove.requirements.pressed import held, is_pressed, latched, made_anew
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import stage as stage_name
from steadfall.roles import started


def in_a_stage(watch: Watch, circuit: str, stage: Node) -> Node:
    """The stage is one that cools, not idle and not of the finish."""
    last = last_stage(watch.plan.type_of(circuit))
    return all_of((at_least(stage, whole(FIRST)), Compare("<=", stage, whole(last))))


def calls_by_buttons(watch: Watch) -> None:
    """A call by buttons begins with a press and ends with the other button, a trip or a lost permissive."""
    seen = set()
    for call in watch.plan.calls:
        if not isinstance(call, ButtonCall):
            continue
        name = started(call.start, call.allows).name
        if name in seen:
            continue  # two calls with one name: the controller has found another for the second
        seen.add(name)
        label = f"{name}.as_pressed"
        own = latched(watch, call)
        words = f"The call for {call.allows} begins in the scan in which {call.start} is newly pressed with "
        words += "nothing tripped and every permissive for all water holding, and ends in the scan in which "
        words += f"{call.stop} is pressed or one of these is no longer so; the end wins."
        said = Said(label, words, (call.at.own,), (call.start, call.stop))
        watch.require(said, different(own, Read(name, Type.BOOL)), own)


def stop_wins(watch: Watch) -> None:
    """Where one stop button ends every call of a circuit, nothing cools it while that is pressed."""
    for name in watch.plan.circuits:
        calls = [call for call in watch.plan.calls if name in call.circuits]
        stops = {call.stop if isinstance(call, ButtonCall) else "" for call in calls}
        if len(stops) != 1 or "" in stops:
            continue
        (stop,) = stops
        words = f"{name} is in its finish or idle in every scan in which {stop} is pressed."
        mark = calls[0].at.of("stop")
        said = Said(f"{name}.stop_wins", words, (mark,), (stop, stage_name(name)), name)
        pressed = is_pressed(watch, stop)
        bad = all_of((pressed, in_a_stage(watch, name, stage_of(name))))
        watch.require(said, bad, all_of((pressed, in_a_stage(watch, name, stage_before(name)))))


def waits_for_a_new_call(watch: Watch) -> None:
    """No cooling after power-up, a trip or a lost permissive but by a call that has been let go and made
    again.
    """
    if watch.plan.restarts:
        return
    for name, circuit in watch.plan.circuits.items():
        label = f"{name}.waits_for_a_new_call"
        new, stands = [], []
        for place, call in enumerate(watch.plan.calls):
            if name in call.circuits:
                own = f"{label}:{place}"
                new.append(_made_again(watch, call))
                if not isinstance(call, ButtonCall):
                    stands.append(watch.seen("call", asks_by(call, watch.plan), f"{own}:asks"))
        words = (
            f"After power-up, a trip or the loss of a permissive for all water {name} does not cool until "
        )
        words += "a call that has been let go since is made again."
        said = Said(label, words, (circuit.at.own,), (stage_name(name),), name, cuts=True)
        cools = in_a_stage(watch, name, stage_of(name))
        waits = opposite(any_of(new))
        watch.require(said, all_of((cools, waits)), all_of((waits, any_of(stands))) if stands else waits)


def hold_holds(watch: Watch) -> None:
    """On hold no circuit climbs, whatever its conditions and its buttons say."""
    hold = watch.plan.hold
    for name in watch.plan.circuits if hold else ():
        stages = range(FIRST, last_stage(watch.plan.type_of(name)))
        if not hold or not stages:
            continue
        here, there = stage_before(name), stage_of(name)
        climbs = any_of(all_of((equal(here, whole(n)), equal(there, whole(n + 1)))) for n in stages)
        in_one = any_of(equal(here, whole(n)) for n in stages)
        words = f"{name} climbs in no scan in which the sequence is on hold."
        said = Said(f"{name}.holds", words, (hold.at.own,), (stage_name(name),), name)
        on = all_of(held(watch))
        watch.require(said, all_of((on, climbs)), all_of((on, in_one)))


def _made_again(watch: Watch, call: Call | ButtonCall | Demand) -> Node:
    """A call has been let go since cooling was last cut: one by buttons by a press."""
    if isinstance(call, ButtonCall):
        return latched(watch, call)
    return all_of(made_anew(watch, call))


OPERATOR: tuple[Callable[[Watch], None], ...] = (
    calls_by_buttons,
    stop_wins,
    waits_for_a_new_call,
    hold_holds,
)
