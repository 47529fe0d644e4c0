"""Judges the signals into the controller: sensors, limit switches, ramps.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from steadfall.dimensions import DIFFERENCES, DIMENSIONS
from steadfall.plan.meaning.names import (
    MADE_OF_CIRCUIT,
    Observed,
    input_identity,
    parts,
    quantities,
    resolve,
    valves,
)
from steadfall.plan.meaning.switches import LimitSwitch, limit_switches
from steadfall.plan.model import Input, Plan
from steadfall.plan.problems import Problems
from steadfall.plan.text.lay_out import time
from steadfall.quantities import IS_OPEN
from steadfall.roles import Role, of_circuit, of_ramp, of_valve
from steadfall.units import shown


def inputs_have_own_names(plan: Plan, problems: Problems) -> None:
    """An input's name means nothing else; `CIRCUIT.name` begins with a circuit."""
    commands, known = valves(plan), quantities(plan)
    seen: dict[str, str] = {name.lower(): f"the ramp '{name}'" for name in plan.ramps}
    seen |= {name.lower(): f"the command of the valve '{name}'" for name in commands}
    seen |= {
        of_circuit(role, name).name.lower(): "a signal of the sequence"
        for name in plan.circuits
        for role in MADE_OF_CIRCUIT
    }
    shows = (of_valve(Role.DISAGREES, one.circuit, one.valve) for one in commands.values())
    seen |= {made.name.lower(): "a signal of the valve" for made in shows}
    set_points = (of_ramp(Role.SET_POINT, name) for name in plan.ramps)
    seen |= {made.name.lower(): "a signal of the ramp" for made in set_points}
    for name, item in plan.inputs.items():
        other = seen.get(name.lower())
        if other:
            problems.add(item.at.own, "same-name", name, f"{other} has this name already", "another name")
        seen[name.lower()] = f"the input '{name}'"
        if item.measures not in (None, name) and name in known:
            read = f"'{name}' is a quantity of the plant, and this input measures '{item.measures}'"
            problems.add(item.at.of("measures"), "same-name", name, read, "another name for the input")
        circuit, _ = parts(name)
        if circuit and circuit not in plan.circuits:
            problems.unknown(item.at.own, name, circuit, "circuit", plan.circuits)


def ramps_have_own_names(plan: Plan, problems: Problems) -> None:
    """A ramp and its set-point are called like nothing else: no body or gas stream, no valve of a circuit."""
    seen: dict[str, str] = {name.lower(): f"the body '{name}'" for name in plan.bodies}
    seen |= {name.lower(): f"the gas stream '{name}'" for name in plan.gas_streams}
    commands = {name.lower(): f"the command of the valve '{name}'" for name in valves(plan)}
    for name, ramp in plan.ramps.items():
        own = commands.get(of_ramp(Role.SET_POINT, name).name.lower())
        if other := seen.get(name.lower()):
            problems.add(ramp.at.own, "same-name", name, f"{other} has this name already", "another name")
        if own:
            read = f"{own} has the name of its set-point already"
            problems.add(ramp.at.own, "same-name", name, read, "another name")
        seen[name.lower()] = f"the ramp '{name}'"


def sensors_measure(plan: Plan, problems: Problems) -> None:
    """A sensor has a range, and measures a quantity of its kind."""
    known = quantities(plan)
    for item in plan.inputs.values():
        if item.low >= item.high:
            low, high = (shown(value, item.kind, spelling=item.unit) for value in (item.low, item.high))
            read = f"the range does not rise: it goes from {low} to {high}"
            problems.add(item.at.of("range"), "range-reversed", "range", read, "the low end first")
        elif item.normal < item.low or item.normal > item.high:
            problems.add(
                item.at.of("normal"), "outside-range", "normal", "this lies outside the range", _range(item)
            )
        if item.measures is not None:
            _measured(item, item.measures, known, problems)


def _measured(item: Input, name: str, known: Mapping[str, Observed], problems: Problems) -> None:
    """What is behind an input is a quantity of its kind; behind a switch, one that has its value."""
    place = item.at.of("measures")
    if name not in known:
        problems.unknown(place, "measures", name, "quantity of the plant", known)
    elif item.kind == "switch" and known[name].dimension in DIFFERENCES:
        if item.changes is None:
            read = f"a switch on '{name}' changes at a value"
            example = f"{name} above {DIMENSIONS[known[name].dimension].example}"
            problems.add(place, "missing-value", "measures", read, "above or below which", example=example)
    elif item.changes:
        read = f"no switch changes at a value of '{name}'"
        problems.add(place, "unused-key", "measures", read, "the quantity alone")
    elif item.kind and known[name].dimension != item.kind:
        read = f"'{name}' is a {known[name].dimension.replace('_', ' ')}"
        problems.add(place, "wrong-dimension", "measures", read, f"a {item.kind}")


def sensors_have_something_to_measure(plan: Plan, problems: Problems) -> None:
    """A temperature or pressure of a circuit that is no quantity of the plant is a slip of the pen."""
    known = quantities(plan)
    for item in plan.inputs.values():
        circuit = input_identity(plan, item.name).circuit
        if item.measures is None and circuit and item.kind in ("temperature", "pressure", "mass_flow"):
            own = [name for name, one in known.items() if one.owner == circuit and one.dimension == item.kind]
            problems.unknown(
                item.at.own, item.name, item.name, "quantity of the plant, and it has no 'measures'", own
            )


def _range(item: Input) -> str:
    low, high = (shown(value, item.kind, spelling=item.unit) for value in (item.low, item.high))
    return f"{low} to {high}"


def sensors_are_worked_with(plan: Plan, problems: Problems) -> None:
    """A filter filters; a sensor that trips has a reset, one that goes on has a value that it could show."""
    for item in plan.inputs.values():
        if 0 < item.filter_ms < plan.scan.longest_ms:
            expected = f"at least {time(plan.scan.longest_ms)}"
            read = f"{time(item.filter_ms)} is shorter than a scan can be, and filters nothing"
            problems.add(item.at.of("filter"), "out-of-bounds", "filter", read, expected)
        if item.when_bad == "trip" and item.reset is None:
            read = "a sensor that trips needs what resets it"
            problems.add(item.at.own, "missing-key", "reset", read, "a condition", example="reset_button")
        if item.when_bad not in ("trip", "") and item.reset is not None:
            read = "nothing here trips"
            problems.add(item.at.of("reset"), "unused-key", "reset", read, "when_bad: trip")
        if item.when_bad == "go on" and not item.low <= item.substitute <= item.high:
            read = f"{shown(item.substitute, item.kind, spelling=item.unit)} lies outside the range"
            problems.add(item.at.of("when_bad"), "outside-range", "when_bad", read, _range(item))


def sensors_scatter_little(plan: Plan, problems: Problems) -> None:
    """Noise lies between none and a tenth of the range."""
    for item in plan.inputs.values():
        if item.low < item.high and (item.noise < 0.0 or item.noise > item.most_noise):
            expected = f"0 to {shown(item.most_noise, DIFFERENCES[item.kind])}"
            problems.add(item.at.of("noise"), "out-of-bounds", "noise", "this cannot be right", expected)


def sensors_read_at_their_ends(plan: Plan, problems: Problems) -> None:
    """What counts as out of range lies beyond the range."""
    for item in plan.inputs.values():
        for key, end in (("bad_below", item.bad_below), ("bad_above", item.bad_above)):
            within = end is not None and (end >= item.low if key == "bad_below" else end <= item.high)
            if end is not None and within and item.low < item.high:
                said = shown(end, item.kind, spelling=item.unit)
                read = f"this is {said} and lies within the range, where the sensor still measures"
                problems.add(item.at.of(key), "outside-range", key, read, f"beyond {_range(item)}")


def feedback_is_a_switch(plan: Plan, problems: Problems) -> None:
    """Every limit switch of a valve is an input, and a switch."""
    for one in _switches(plan):
        feedback, circuit = one.feedback, one.circuit
        place, name = feedback.at.of("input"), resolve(feedback.input, circuit or None, plan.inputs)
        if name is None:
            wanted = f"{circuit}.{feedback.input}" if circuit else feedback.input
            problems.unknown(place, "input", wanted, "input", plan.inputs)
        elif plan.inputs[name].kind not in ("switch", ""):
            read = f"'{name}' is a {plan.inputs[name].kind}"
            problems.add(place, "not-a-switch", "input", read, "a switch")


def feedback_measures_its_valve(plan: Plan, problems: Problems) -> None:
    """The limit switch of a valve measures this valve."""
    for one in _switches(plan):
        name = resolve(one.feedback.input, one.circuit or None, plan.inputs)
        item, wanted = plan.inputs.get(name or ""), IS_OPEN.named(one.command.name)
        if item is not None and item.kind in ("switch", "") and item.measures != wanted:
            read = f"this is the limit switch of '{one.command.name}' but does not measure it"
            problems.add(item.at.of("measures"), "feedback", item.name, read, f"measures: {wanted}")


def _switches(plan: Plan) -> Iterable[LimitSwitch]:
    """Those whose input could be read."""
    return (one for one in limit_switches(plan) if one.feedback.input)


def ramps_follow(plan: Plan, problems: Problems) -> None:
    """A ramp follows a temperature input, to where its sensor can see."""
    temperatures = [name for name, item in plan.inputs.items() if item.kind == "temperature"]
    for ramp in plan.ramps.values():
        item = plan.inputs.get(ramp.of)
        if item is None:
            problems.unknown(ramp.at.of("of"), "of", ramp.of, "temperature input", temperatures)
        elif item.kind and item.kind != "temperature":
            problems.add(
                ramp.at.of("of"), "wrong-dimension", "of", f"'{ramp.of}' is a {item.kind}", "a temperature"
            )
        elif ramp.to < item.low or ramp.to > item.high:
            read = f"the sensor '{ramp.of}' cannot see {shown(ramp.to, 'temperature')}"
            problems.add(ramp.at.of("to"), "outside-range", "to", read, _range(item))


def percent_signal(plan: Plan, name: str) -> Input | str | None:
    """A percent input, the word "ramp", or None where the name is neither."""
    if name in plan.ramps:
        return "ramp"
    item = plan.inputs.get(name)
    return item if item is not None and item.kind in ("percent", "") else None


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    inputs_have_own_names,
    ramps_have_own_names,
    sensors_measure,
    sensors_are_worked_with,
    sensors_scatter_little,
    sensors_read_at_their_ends,
    feedback_is_a_switch,
    ramps_follow,
)
OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (
    sensors_have_something_to_measure,
    feedback_measures_its_valve,
)
