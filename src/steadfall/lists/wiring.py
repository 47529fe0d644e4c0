"""Every signal between controller and plant, with what an electrician asks about it.

Rule of this file: one row per input and valve, in the plan's order. A valve is wired by its output: of one
that stands open without signal that is the one which shuts it.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.handed import aloud, whole_type
from steadfall.plan.meaning.names import fluid_of, quantities, shown, valves
from steadfall.plan.meaning.trust import sensors_of
from steadfall.plan.model import DIGITAL, Feeder, Input, Io, MainValve, Output, Plan, Terminal, Valve
from steadfall.plan.model.condition import OutOfRange
from steadfall.plan.text.speak import speak
from steadfall.roles import Named, Role
from steadfall.source import Mark
from steadfall.units import shown as told

KINDS = {**dict.fromkeys(DIGITAL, "DI"), "valve": "DO"}  # all others: AI
DIMENSIONS = {"percent": "percent", "temperature": "temperature", "pressure": "pressure"}


@frozen
class Signal:
    """A signal between controller and plant."""

    name: str
    description: str
    kind: str  # "DI", "AI" or "DO"
    type: str  # in the controller
    range: str
    rest: str
    fail: str
    terminal: Terminal
    mark: Mark


def wiring(plan: Plan, io: Io | None = None) -> list[Signal]:
    """Every signal; `io` stands for the plan's own wiring, such as the list that came with the panel
    drawing.
    """
    terminals = (io or plan.io).terminals
    rows = [_input(plan, item, terminals.get(name, Terminal(name))) for name, item in plan.inputs.items()]
    for name, signal in valves(plan).items():
        valve = plan.type_of(signal.circuit).valves[signal.valve]
        fluid = fluid_of(plan, signal)
        rows.append(_valve(name, signal.circuit, valve, fluid, terminals.get(name, Terminal(name))))
    rows += [_feeder(plan, item, terminals.get(item.name, Terminal(item.name))) for item in plan.feeders]
    rows += [_output(item, terminals.get(name, Terminal(name))) for name, item in plan.outputs.items()]
    rows += [_register(made, terminals[made.name]) for made in shown(plan) if _wired(made, terminals)]
    return rows


def _input(plan: Plan, item: Input, terminal: Terminal) -> Signal:
    if item.is_digital:
        normal = "on" if item.normal else "off"
        what = _switch(plan, item) if item.measures else _by_hand(item)
        reads = "off, as a press does" if item.kind == "button" and item.normal else "off"
        return Signal(
            item.name,
            what,
            "DI",
            "BOOL",
            "off, on",
            normal,
            f"broken wire reads {reads}" + _used(plan, item),
            terminal,
            item.at.own,
        )
    dimension = DIMENSIONS.get(item.kind, item.kind)
    low, high = (_in_unit(value, dimension, item.unit) for value in (item.low, item.high))
    span = f"{low} .. {high} {item.unit}" + (f" as {aloud(item, item.raw)}" if item.raw else "")
    what = f"{item.kind.replace('_', ' ')}" + (f" of {measured(plan, item)}" if item.measures else "")
    fail = "broken wire reads an end of the range" + _used(plan, item)
    return Signal(item.name, what, "AI", whole_type(item) or "REAL", span, "", fail, terminal, item.at.own)


def _switch(plan: Plan, item: Input) -> str:
    """What changes a switch that the plant moves."""
    seen = quantities(plan)[str(item.measures)]
    if item.changes is None:
        return f"limit switch, {_words(item.measures)}"
    on, off = (told(value, seen.dimension, 6) for value in (item.changes.value, item.changes.off_at))
    back = {"above": "below", "below": "above"}[item.changes.bound]
    kind = f"{seen.dimension.replace('_', ' ')} switch"
    return f"{kind}, {_words(item.measures)}: on {item.changes.bound} {on}, off again {back} {off}"


def _by_hand(item: Input) -> str:
    """What a person or another system sets; how the contact of a button is wired."""
    if item.kind != "button":
        return f"{item.kind}, {_words(item.name)}"
    return f"push-button, normally {'closed' if item.normal else 'open'}, {_words(item.name)}"


def _in_unit(value: float, dimension: str, unit: str) -> str:
    """A number in a unit, without the unit."""
    text = f"{value:g} %" if dimension == "percent" else told(value, dimension, 6, unit)
    return text.partition(" ")[0]


def _valve(name: str, circuit: str, valve: Valve, fluid: str | None, terminal: Terminal) -> Signal:
    lets = (
        f"{fluid} from {_words(valve.supply)}"
        if fluid and valve.supply
        else "lies in the outlet"
        if valve.closes_outlet
        else "opens a bypass of the outlet"
    )
    what = f"valve, {_words(valve.name)} of {_words(circuit)}: {lets}"
    held = (valve.rest == "open") != valve.normally_open
    rest = f"{valve.rest}, {'energised' if held else 'not energised'}"
    return Signal(name, what, "DO", "BOOL", _span(valve), rest, _fail(valve), terminal, valve.at.own)


def _span(valve: Valve | MainValve) -> str:
    return "off opens, on shuts" if valve.normally_open else "off shuts, on opens"


def _fail(valve: Valve | MainValve) -> str:
    if valve.without_signal == "stays":
        return "stays where it is without power"
    return f"{valve.without_signal} without signal or power"


def _feeder(plan: Plan, item: Feeder, terminal: Terminal) -> Signal:
    fluid, of = plan.supplies[item.supply].fluid, _words(item.supply)
    if isinstance(item, MainValve):
        what, rest = f"main valve, {_words(item.name)}: {fluid} from {of}", "shut, "
        rest += "energised" if item.normally_open else "not energised"
        return Signal(item.name, what, "DO", "BOOL", _span(item), rest, _fail(item), terminal, item.at.own)
    what, fail = f"pump, {_words(item.name)}: {fluid} for {of}", "no signal, or a broken wire, is off"
    return Signal(item.name, what, "DO", "BOOL", "off, on", "off", fail, terminal, item.at.own)


def _output(item: Output, terminal: Terminal) -> Signal:
    what = f"output, {_words(item.name)}: while {speak(item.on)}"
    fail = "no signal, or a broken wire, is off"
    return Signal(item.name, what, "DO", "BOOL", "off, on", "off", fail, terminal, item.at.own)


def _wired(made: Named, terminals: Mapping[str, Terminal]) -> bool:
    return made.name in terminals and made.identity.role is not Role.OUTPUT


def _register(made: Named, terminal: Terminal) -> Signal:
    """An alarm or a trip that the wiring names, for an operator station."""
    what = f"to be read by others, {_words(made.name)}"
    return Signal(made.name, what, "DO", "BOOL", "off, on", "off", "", terminal, terminal.at.own)


def _used(plan: Plan, item: Input) -> str:
    """What a measured value out of its range does: holds climbs, is replaced, trips."""
    holds = {
        one.name
        for name in plan.circuits
        for stage in plan.type_of(name).stages
        for one in sensors_of(plan, name, stage)
    }
    held = "; holds the climb" if item.name in holds else ""
    held = "; a value stands in" if item.when_bad == "go on" else held
    trips = [
        trip.name
        for trip in plan.trips
        if any(isinstance(part, OutOfRange) and part.name == item.name for part in walk(trip.when))
    ]
    return held + (f"; trips {', '.join(trips)}" if trips else "")


def measured(plan: Plan, item: Input) -> str:
    """What a sensor measures, without saying its kind again."""
    known = quantities(plan)[str(item.measures)]
    return _words(known.owner if known.quantity.end == item.kind else known.name)


def _words(name: str | None) -> str:
    return (name or "").replace("_", " ").replace(".", " ")
