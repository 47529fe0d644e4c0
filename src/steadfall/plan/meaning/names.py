"""What the names of a plan stand for: quantities of the plant, signals of the controller.

Rule of this file: one list of names for everybody; the logic, the plant, the traces and the checks use these.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from attrs import frozen

from steadfall import roles
from steadfall.plan.meaning.once import once
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import Body, MainValve, Permissive, Plan, Valve, condition
from steadfall.plan.model.sequence import Circuit, CircuitType
from steadfall.quantities import Owner, Quantity, Reading, each_of
from steadfall.roles import Identity, Named, Role
from steadfall.source import Mark

# What the sequence of every circuit makes itself, beside its valve commands.
MADE_OF_CIRCUIT = (Role.STAGE, Role.TARGET, Role.STAGE_TIME)


@frozen
class Observed:
    """A quantity of one thing of the plan; the owner is a body, gas stream, circuit,
    `circuit.valve`, main valve or supply.
    """

    owner: str
    quantity: Quantity

    @property
    def name(self) -> str:
        """As it stands in limits, sensors and traces."""
        return self.quantity.named(self.owner)

    @property
    def dimension(self) -> str:
        """What it measures: "temperature", "mass_flow"; "switch" and "fraction" of a valve's travel."""
        return self.quantity.dimension

    @property
    def reading(self) -> Reading:
        """How a person reads it."""
        return self.quantity.reading


@frozen
class Signal:
    """A signal that a condition may name: "bool", "real" or "time", and the dimension of a real one."""

    type: str
    dimension: str = ""
    identity: Identity = Identity()

    @property
    def role(self) -> Role:
        """What it is for."""
        return self.identity.role

    @property
    def circuit(self) -> str:
        """Whose it is."""
        return self.identity.circuit

    @property
    def valve(self) -> str:
        """Whose it is, by its name in the circuit."""
        return self.identity.valve


def quantities_of(
    bodies: Mapping[str, Body],
    streams: Mapping[str, object],
    circuits: Mapping[str, Circuit],
    types: Mapping[str, CircuitType],
    mains: Mapping[str, object],
    supplies: Iterable[str],
) -> dict[str, Observed]:
    """Every quantity of the plant by its name: bodies, gas streams, circuits, valves, mains, then
    supplies.
    """
    things: list[tuple[str, tuple[Owner, ...]]] = [
        one for name, body in bodies.items() for one in _body(name, body)
    ]
    things += [(name, (Owner.STREAM,)) for name in streams]
    things += [(name, (Owner.CIRCUIT,)) for name in circuits]
    things += [(name, (Owner.VALVE,)) for name in (*_valve_names(circuits, types), *mains)]
    things += [(name, (Owner.SUPPLY,)) for name in supplies]
    found = (Observed(name, quantity) for name, sorts in things for quantity in each_of(*sorts))
    return {one.name: one for one in found}


def _body(name: str, body: Body) -> list[tuple[str, tuple[Owner, ...]]]:
    """A body, and each of its parts where it is cut into segments."""
    if body.parts == 1:
        return [(name, (Owner.BODY, Owner.SHELLS) if body.inner else (Owner.BODY,))]
    part = (Owner.PART, Owner.PART_SHELLS) if body.inner else (Owner.PART,)
    parts = [(segment(name, k), part) for k in range(1, body.parts + 1)]
    return [(name, (Owner.BODY, Owner.PARTS)), *parts]


def segment(body: str, number: int) -> str:
    """The name of a part of a body, counted from 1: `upper_platen.segment_2`."""
    return f"{body}.segment_{number}"


def _valve_names(circuits: Mapping[str, Circuit], types: Mapping[str, CircuitType]) -> list[str]:
    known = {name: types[one.type] for name, one in circuits.items() if one.type in types}
    return [roles.command(name, valve).name for name, kind in known.items() for valve in kind.valves]


@once
def quantities(plan: Plan) -> Mapping[str, Observed]:
    """Every quantity of the plant by its name; none where the plan has no plant."""
    seen = plant_side(plan)
    return quantities_of(
        seen.bodies, seen.gas_streams, seen.circuits, seen.circuit_types, seen.main_valves, seen.supplies
    )


def valves(plan: Plan) -> dict[str, Signal]:
    """Every valve command, `circuit.valve`."""
    return {
        made.name: Signal("bool", identity=made.identity)
        for name, circuit in plan.circuits.items()
        if circuit.type in plan.circuit_types
        for made in (roles.command(name, valve) for valve in plan.circuit_types[circuit.type].valves)
    }


def energised(plan: Plan) -> dict[str, tuple[Named, Mark]]:
    """The valves that stand open without signal, each with its output and where the plan says so."""
    found = {}
    for name, signal in valves(plan).items():
        valve = plan.type_of(signal.circuit).valves[signal.valve]
        if valve.normally_open:
            output = roles.of_valve(Role.ENERGISED, signal.circuit, signal.valve)
            found[name] = output, valve.at.of("without_signal")
    for main in plan.main_valves.values():
        if main.normally_open:
            output = roles.feeder(Role.ENERGISED, main.name)
            found[roles.feeder(Role.MAIN, main.name).name] = output, main.at.of("without_signal")
    return found


def staying(plan: Plan) -> tuple[str, ...]:
    """The valves that stay where they are without power, by their commands."""
    known = {name: plan.type_of(one.circuit).valves[one.valve] for name, one in valves(plan).items()}
    every: Mapping[str, Valve | MainValve] = {**known, **plan.main_valves}
    return tuple(name for name, valve in every.items() if valve.without_signal == "stays")


def fluid_of(plan: Plan, valve: Signal) -> str | None:
    """What a valve lets in: "water" or "air", None for a bypass of the outlet, "" where it could not be
    read.
    """
    supply = plan.type_of(valve.circuit).valves[valve.valve].supply
    if supply is None:
        return None
    return plan.supplies[supply].fluid if supply in plan.supplies else ""


def is_water(plan: Plan, valve: str) -> bool:
    """Whether a `circuit.valve` lets water in."""
    return fluid_of(plan, valves(plan)[valve]) == "water"


@once
def signals(plan: Plan) -> Mapping[str, Signal]:
    """Every signal that a condition may name."""
    found: dict[str, Signal] = {}

    def add(made: Named, kind: str, dimension: str = "") -> None:
        found[made.name] = Signal(kind, dimension, made.identity)

    for role in (Role.PERMITTED, Role.TRIPPED, *_said(plan)):
        add(roles.of_plant(role), "bool")
    for name, item in plan.inputs.items():
        own = Named(name, input_identity(plan, name))
        add(own, *(("bool", "") if item.is_digital else ("real", item.kind)))
    for name in plan.ramps:
        add(roles.ramp(name), "real", "percent")
        add(roles.of_ramp(Role.SET_POINT, name), "real", "temperature")
    for name, signal in valves(plan).items():
        found.setdefault(name, signal)
        watched = plan.type_of(signal.circuit).valves[signal.valve].feedback is not None
        if watched and plan.test is not None and name in plan.test.valves:
            add(roles.of_valve(Role.FAILED_TEST, signal.circuit, signal.valve), "bool")
    for one in limit_switches(plan):
        add(one.disagrees, "bool")
    for made in (*fed(plan), *shown(plan)):
        found.setdefault(made.name, Signal("bool", identity=made.identity))
    return found


def _said(plan: Plan) -> Iterator[Role]:
    """Signals of the whole plant that there are where the plan says what they follow."""
    if plan.done is not None:
        yield Role.DONE
    if plan.hand is not None:
        yield Role.IN_HAND
    if plan.test is not None:
        yield Role.IN_TEST
    if plan.hold is not None:
        yield Role.ON_HOLD


def fed(plan: Plan) -> Iterator[Named]:
    """The commands of main valves and pumps, and whether their lead is over, where they have one."""
    for role, known in ((Role.MAIN, plan.main_valves), (Role.PUMP, plan.pumps)):
        yield from (roles.feeder(role, name) for name in known)
    yield from (roles.feeder(Role.READY, one.name) for one in plan.feeders if one.lead_ms)


def alarm_titles(plan: Plan) -> tuple[str, ...]:
    """What alarms are called: every trip, where alarms are acknowledged, and the plan's own."""
    if plan.acknowledge is None:
        return ()
    return (*(item.name for item in plan.trips), *(item.name for item in plan.alarms))


def shown(plan: Plan) -> Iterator[Named]:
    """What there is to show: trips, where alarms and outputs are said, these, whether cooling runs;
    counters that are due.
    """
    for trip in plan.trips:
        yield roles.titled(Role.TRIP, word(trip.name), trip.name)
    if plan.outputs or plan.alarms or plan.counters:
        yield roles.of_plant(Role.RUNNING)
    titles = alarm_titles(plan)
    for role in (Role.ALARM, Role.UNACKNOWLEDGED) if plan.acknowledge is not None else ():
        yield roles.of_plant(role)
        yield from (roles.alarm(role, word(title), title) for title in titles)
    yield from (roles.alarm(Role.FIRST_OUT, word(title), title) for title in titles)
    yield from (roles.output(name) for name in plan.outputs)
    yield from (roles.counter(Role.DUE, one.name) for one in plan.counters.values() if one.due is not None)


def word(name: str) -> str:
    """A title as one word: what is not a letter or a digit becomes a line."""
    return re.sub(r"[^A-Za-z0-9]+", "_", name).strip("_") or "unnamed"


def holding(plan: Plan, permissive: Permissive) -> str:
    """The signal that says whether a permissive holds: its own, or the only one that it needs."""
    if isinstance(permissive.needs, condition.Signal):
        return resolve(permissive.needs.name, None, signals(plan)) or permissive.needs.name
    return roles.titled(Role.PERMISSIVE, word(permissive.name), permissive.name).name


def timers(plan: Plan) -> dict[str, Signal]:
    """Every time that a requirement may name: of a circuit in its stage, of a valve's command since it
    changed.
    """
    made = [roles.of_circuit(Role.STAGE_TIME, name) for name in plan.circuits]
    made += [roles.of_valve(Role.HELD_TIME, one.circuit, one.valve) for one in valves(plan).values()]
    return {one.name: Signal("time", identity=one.identity) for one in made}


def input_identity(plan: Plan, name: str) -> Identity:
    """What an input is: `CIRCUIT.NAME` belongs to that circuit, any other to none."""
    circuit, own = parts(name)
    mine = circuit in plan.circuits
    return Identity(Role.INPUT, circuit, of=own) if mine else Identity(Role.INPUT, of=name)


def parts(name: str) -> tuple[str, str]:
    """A name as it is written in a plan: what stands before its dot, if it has one, and the rest."""
    first, dot, rest = name.partition(".")
    return (first, rest) if dot else ("", name)


def identities(plan: Plan) -> dict[str, Identity]:
    """What every signal is that a condition or a requirement may speak of."""
    made = [roles.of_circuit(role, name) for name in plan.circuits for role in (Role.STAGE, Role.TARGET)]
    found = {name: one.identity for name, one in {**signals(plan), **timers(plan)}.items()}
    made += [output for output, _ in energised(plan).values()]
    return {one.name: one.identity for one in made} | found


def resolve(name: str, circuit: str | None, known: Mapping[str, object]) -> str | None:
    """The full name that a name stands for: in a circuit type first `circuit.name`, then the name as it
    is.
    """
    local = f"{circuit}.{name}" if circuit else name
    return local if local in known else name if name in known else None
