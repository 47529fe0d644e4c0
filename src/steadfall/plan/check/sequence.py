"""Judges stages, finish, calls, permissives and trips.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise

from steadfall.plan.check.equipment import water_valves
from steadfall.plan.check.inputs import percent_signal
from steadfall.plan.keys.naming import NAME_EXPECTED, why_no_name
from steadfall.plan.meaning.names import fluid_of, resolve, valves
from steadfall.plan.model import (
    ButtonCall,
    Call,
    CircuitType,
    Demand,
    FinishStep,
    Input,
    Permissive,
    Plan,
    Share,
    Stage,
    Trip,
)
from steadfall.plan.model.condition import Always
from steadfall.plan.problems import Problems, did_you_mean, listed
from steadfall.source import Mark


def stages_are_well_formed(plan: Plan, problems: Problems) -> None:
    """Stages and finish steps have names of their own and name valves that exist."""
    for kind in plan.circuit_types.values():
        seen: dict[str, int] = {}
        steps: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
        for step in steps:
            _name_of(step, seen, problems)
            for valve in _named_valves(step):
                if valve not in kind.valves:
                    problems.unknown(
                        step.at.of(f"key {valve}"), valve, valve, "valve of this circuit type", kind.valves
                    )


def _named_valves(step: Stage | FinishStep) -> list[str]:
    """The valves that a stage names, those that it keeps shut among them."""
    keys = [key.removeprefix("key ") for key in step.at.keys if key.startswith("key ")]
    return [key for key in keys if key not in ("name", "climb", "for")]


def _name_of(step: Stage | FinishStep, seen: dict[str, int], problems: Problems) -> None:
    if not step.name:
        return
    bad = why_no_name(step.name)
    if bad:
        problems.add(
            step.at.of("name"), "name", "name", f"'{step.name[:60]}' {bad}", NAME_EXPECTED, example="dosing"
        )
    elif step.name.lower() in seen:
        read = f"'{step.name}' is in line {seen[step.name.lower()]} already"
        problems.add(step.at.of("name"), "same-name", "name", read, "each stage and step by another name")
    seen.setdefault(step.name.lower(), step.at.own.line)


def climbs_lead_up(plan: Plan, problems: Problems) -> None:
    """Every stage but the last says when the sequence climbs; the last has nowhere to climb to."""
    for kind in plan.circuit_types.values():
        for i, stage in enumerate(kind.stages):
            last = i == len(kind.stages) - 1
            if last and stage.climb is not None:
                read = "the last stage has nothing to climb to"
                problems.add(stage.at.of("key climb"), "climb-from-last", "climb", read, "no 'climb' here")
            elif not last and stage.climb is None:
                read = f"'{stage.name}' does not say when to climb to '{kind.stages[i + 1].name}'"
                expected = "a condition"
                problems.add(stage.at.own, "missing-climb", "climb", read, expected, example="after 45 s")
            elif not last and stage.climb == Always(value=False):
                read = f"'{kind.stages[i + 1].name}' can never be reached"
                problems.add(
                    stage.at.of("climb"), "unreachable-stage", "climb", read, "a condition that can be true"
                )


def finish_lets_no_water_in(plan: Plan, problems: Problems) -> None:
    """The finish empties the circuit."""
    for kind in plan.circuit_types.values():
        water = water_valves(plan, kind)
        for step in kind.finish:
            for name in step.actions:
                if name in water:
                    read = f"'{name}' would let water in while the circuit is emptied"
                    problems.add(
                        step.at.of(f"key {name}"), "finish-floods", name, read, "air valves and drains"
                    )


def outlet_is_open(plan: Plan, problems: Problems) -> None:
    """A step that lets something in opens the outlet, or a bypass of it."""
    for kind in plan.circuit_types.values():
        outlets = {valve.name for valve in kind.valves.values() if valve.closes_outlet}
        drains = {valve.name for valve in kind.valves.values() if valve.supply is None} - outlets
        steps: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
        for step in steps if outlets else ():
            opened = set(step.actions)
            lets_in = [name for name in step.actions if name in kind.valves and kind.valves[name].supply]
            if lets_in and not (outlets <= opened or drains & opened):
                read = f"'{lets_in[0]}' is open in '{step.name}', and the outlet is shut"
                expected = f"{listed(sorted(outlets))} open too"
                problems.add(step.at.of(f"key {lets_in[0]}"), "outlet-shut", lets_in[0], read, expected)


def shares_follow_percents(plan: Plan, problems: Problems) -> None:
    """A time-proportioned valve follows a percent input or a ramp."""
    percents = {name: "" for name in (*plan.ramps, *plan.inputs) if percent_signal(plan, name) is not None}
    for kind in plan.circuit_types.values():
        users = [name for name, circuit in plan.circuits.items() if circuit.type == kind.name]
        for stage in kind.stages:
            for action in stage.actions.values():
                if isinstance(action, Share) and None in [
                    resolve(action.of, user, percents) for user in users or (None,)
                ]:
                    _no_percent(plan, action.at.of("share_of"), "share_of", action.of, problems)


def _no_percent(plan: Plan, mark: Mark, key: str, name: str, problems: Problems) -> None:
    known = [*plan.ramps, *(item.name for item in plan.inputs.values() if item.kind == "percent")]
    problems.unknown(mark, key, name, "percent input or ramp", known)


def calls_name_stages(plan: Plan, problems: Problems) -> None:
    """A call names circuits that exist and stages that each of them has."""
    for call in plan.calls:
        for i, name in enumerate(call.circuits):
            if name not in plan.circuits:
                problems.unknown(call.at.of(f"circuits.{i}"), "circuits", name, "circuit", plan.circuits)
                continue
            kind = plan.circuit_types.get(plan.circuits[name].type)
            stages = [stage.name for stage in kind.stages] if kind else []
            for stage in _stages(call):
                if kind and stage not in stages:
                    key = "thresholds" if isinstance(call, Demand) else "allows"
                    problems.unknown(call.at.of(key), key, stage, f"stage of '{name}'", stages)


def _stages(call: Call | ButtonCall | Demand) -> Iterable[str]:
    return call.thresholds if isinstance(call, Demand) else (call.allows,)


def calls_can_be_let_go(plan: Plan, problems: Problems) -> None:
    """A call that must be let go before it counts is not `true` for ever."""
    for call in plan.calls:
        if isinstance(call, Call) and call.when == Always(value=True) and not plan.restarts:
            read = "a call that is always there is never let go, and so never counts"
            expected = "a condition, or 'restart: by itself'"
            problems.add(call.at.of("when"), "never-let-go", "when", read, expected)


def calls_by_buttons(plan: Plan, problems: Problems) -> None:
    """What begins and ends a call by buttons are two buttons, and no broken wire begins one."""
    for call in plan.calls:
        if not isinstance(call, ButtonCall):
            continue
        for key, name in (("start", call.start), ("stop", call.stop)):
            is_button(plan, call.at.of(key), key, name, problems)
        if call.start and call.start == call.stop:
            read = f"'{call.start}' begins the call already"
            problems.add(call.at.of("stop"), "same-name", "stop", read, "another button")
        no_broken_wire(plan, call.at.of("start"), "start", call.start, problems)


def is_button(plan: Plan, place: Mark, key: str, name: str, problems: Problems) -> None:
    """A name is that of a push-button."""
    item = plan.inputs.get(name)
    if item is None and name:
        known = [one for one, given in plan.inputs.items() if given.kind == "button"]
        problems.unknown(place, key, name, "button", known)
    elif item is not None and item.kind not in ("button", ""):
        read = f"'{name}' is a {item.kind.replace('_', ' ')}, not a push-button"
        problems.add(place, "not-a-button", key, read, "an input of the kind 'button'")


def no_broken_wire(plan: Plan, place: Mark, key: str, name: str, problems: Problems) -> None:
    """No broken wire presses a button that begins something."""
    item = plan.inputs.get(name)
    if item is not None and item.kind == "button" and item.normal:
        read = f"'{name}' is normally on: a broken wire would press it"
        problems.add(place, "start-normally-closed", key, read, "a button normally off")


def steps_on_by_buttons(plan: Plan, problems: Problems) -> None:
    """What steps on is a button that no broken wire presses, from stages that have one above."""
    for item in plan.steps_on:
        is_button(plan, item.at.of("button"), "button", item.button, problems)
        no_broken_wire(plan, item.at.of("button"), "button", item.button, problems)
        users = [plan.circuits[name] for name in item.circuits if name in plan.circuits]
        for name in item.circuits:
            if name not in plan.circuits:
                problems.unknown(item.at.of("circuits"), "circuits", name, "circuit", plan.circuits)
        kinds = [
            plan.circuit_types[one.type]
            for one in users or plan.circuits.values()
            if one.type in plan.circuit_types
        ]
        known = list(dict.fromkeys(stage.name for kind in kinds for stage in kind.stages))
        lasts = {kind.stages[-1].name for kind in kinds if kind.stages}
        left = {stage.name for kind in kinds for stage in kind.stages[:-1]}
        for number, stage in enumerate(item.stages):
            if known and stage not in known:
                problems.unknown(
                    item.at.of(f"from.{number}"), "from", stage, "stage of these circuits", known
                )
            elif stage in lasts - left:
                read = f"'{stage}' is the last stage and has nothing to step on to"
                problems.add(
                    item.at.of(f"from.{number}"), "step-from-last", "from", read, "stages below the last"
                )


def demands_rise(plan: Plan, problems: Problems) -> None:
    """The thresholds of a demand rise from stage to stage, can be reached, and can be given up."""
    for call in plan.calls:
        if isinstance(call, Demand):
            signal = percent_signal(plan, call.of)
            if signal is None:
                _no_percent(plan, call.at.of("demand"), "demand", call.of, problems)
            _thresholds(plan, call, signal, problems)


def _thresholds(plan: Plan, call: Demand, signal: Input | str | None, problems: Problems) -> None:
    place = call.at.of("thresholds")
    if not call.thresholds and call.at.of("key thresholds") != call.at.own:
        problems.add(place, "empty-value", "thresholds", "no stage is given", "stages and percentages")
    low = min(call.thresholds.values(), default=100.0)
    if low <= call.hysteresis:
        read = f"cooling would never be given up: {low:g} % less {call.hysteresis:g} % is not above 0 %"
        problems.add(
            place, "never-given-up", "thresholds", read, "a hysteresis smaller than the lowest threshold"
        )
    high = max(call.thresholds.values(), default=0.0)
    if isinstance(signal, Input) and high > signal.high:
        problems.add(
            place,
            "outside-range",
            "thresholds",
            f"'{call.of}' never reaches {high:g} %",
            "less than its range",
        )
    for kind in {plan.circuits[name].type for name in call.circuits if name in plan.circuits}:
        order = (
            [stage.name for stage in plan.circuit_types[kind].stages] if kind in plan.circuit_types else []
        )
        named = [(stage, call.thresholds[stage]) for stage in order if stage in call.thresholds]
        for (before, lower), (after, upper) in pairwise(named):
            if upper <= lower:
                read = f"'{after}' at {upper:g} % does not lie above '{before}' at {lower:g} %"
                problems.add(place, "not-rising", "thresholds", read, "thresholds that rise with the stages")


def stages_can_be_reached(plan: Plan, problems: Problems) -> None:
    """Some call of some circuit allows each stage."""
    if not plan.calls or not all(call.circuits for call in plan.calls):
        return  # a call could not be read, or names no stage that there is: said where it stands
    for kind in plan.circuit_types.values():
        users = [circuit.name for circuit in plan.circuits.values() if circuit.type == kind.name]
        stages = [stage.name for stage in kind.stages]
        highest = {name: _highest(plan, name, stages) for name in users}
        for name in users:
            if highest[name] < 0 and stages:
                read = f"no call asks for cooling by '{name}'"
                problems.add(plan.circuits[name].at.own, "no-call", name, read, "a call for it")
        top = max(highest.values(), default=len(stages))
        for stage in kind.stages[top + 1 :] if top >= 0 else ():
            read = f"no call allows '{stage.name}'"
            expected = f"a call that allows it (the highest now is '{stages[top]}')"
            problems.add(stage.at.of("name"), "unreachable-stage", "name", read, expected)


def _highest(plan: Plan, circuit: str, stages: list[str]) -> int:
    """The index of the highest stage that any call allows a circuit; -1 for none, the last where a call was
    unread.
    """
    found = -1
    for call in plan.calls:
        if circuit in call.circuits and not (isinstance(call, Call) and call.when == Always(value=False)):
            named = list(_stages(call))
            known = [stages.index(stage) for stage in named if stage in stages]
            found = max(found, max(known, default=-1) if known else len(stages) - 1)
    return found


def permissives_hold_water(plan: Plan, problems: Problems) -> None:
    """A permissive names water valves, and there is something to name."""
    known = valves(plan)
    for item in plan.permissives:
        place = item.at.of("for")
        if item.all_water and not item.valves and all(supply.fluid for supply in plan.supplies.values()):
            problems.add(
                place, "no-water", "for", "there is no water valve in this plan", "a circuit with water"
            )
        for name in item.valves:
            if name not in known:
                problems.unknown(place, "for", name, "valve", known)
            elif fluid_of(plan, known[name]) in ("air", None):
                read = f"'{name}' lets no water in, so there is nothing to shut"
                water = [valve for valve, signal in known.items() if fluid_of(plan, signal) == "water"]
                problems.add(place, "no-water", "for", f"{read}{did_you_mean(name, water)}", listed(water))


def guards_have_own_names(plan: Plan, problems: Problems) -> None:
    """No two permissives or trips are called the same: people find them by name."""
    seen: dict[str, int] = {}
    guards: list[Permissive | Trip] = [*plan.permissives, *plan.trips]
    for guard in guards:
        if guard.name in seen:
            read = f"'{guard.name}' is in line {seen[guard.name]} already"
            problems.add(guard.at.of("name"), "same-name", "name", read, "another name")
        elif guard.name:
            seen[guard.name] = guard.at.own.line


def stages_exist(plan: Plan, problems: Problems) -> None:
    """A stage does something."""
    for kind in plan.circuit_types.values():
        _does_something(kind, problems)


def _does_something(kind: CircuitType, problems: Problems) -> None:
    for stage in kind.stages:
        if stage.name and not stage.actions and not _named_valves(stage):
            read = f"no valve is open in '{stage.name}'"
            problems.add(
                stage.at.own, "idle-stage", "name", read, "at least one valve", example="flood: open"
            )


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    stages_are_well_formed,
    stages_exist,
    climbs_lead_up,
    finish_lets_no_water_in,
    outlet_is_open,
    shares_follow_percents,
    calls_name_stages,
    calls_can_be_let_go,
    calls_by_buttons,
    steps_on_by_buttons,
    demands_rise,
    stages_can_be_reached,
    permissives_hold_water,
    guards_have_own_names,
)
