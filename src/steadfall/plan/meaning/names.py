"""What the names of a plan stand for: quantities of the plant, signals of the controller.

Rule of this file: one list of names for everybody; the logic, the plant, the traces and the checks use these.
"""

from __future__ import annotations

from collections.abc import Mapping

import attrs
from attrs import frozen

from steadfall.plan.model import Body, Plan
from steadfall.plan.model.sequence import Circuit, CircuitType

# What can be observed of every body, gas stream, circuit and valve: suffix -> dimension ("switch" for a limit
# switch).
OF_BODY: Mapping[str, str] = {"": "temperature", ".surface": "temperature", ".core": "temperature"}
OF_SHELLS: Mapping[str, str] = {
    ".difference": "temperature_difference"
}  # of a body with an inner resistance alone
OF_STREAM: Mapping[str, str] = {"": "temperature", ".after_coil": "temperature"}
OF_CIRCUIT: Mapping[str, str] = {
    ".outlet_temperature": "temperature",
    ".pressure": "pressure",
    ".wall": "temperature",
    ".wall.coldest": "temperature",
    ".wall.hottest": "temperature",
    ".wall_shock": "temperature_difference",
    ".wall_stress": "stress",
    ".water_flow": "mass_flow",
    ".air_flow": "mass_flow",
    ".steam_flow": "mass_flow",
    ".water_held": "mass",
    ".water_used": "mass",
    ".heat": "power",
}
# What the sequence of every circuit makes itself, beside its valve commands.
MADE_OF_CIRCUIT = (".stage", ".target")
OF_VALVE: Mapping[str, str] = {".position": "fraction", ".is_open": "switch", ".is_shut": "switch"}


@frozen
class Signal:
    """A signal that a condition may name: "bool", "real" or "time", and the dimension of a real one."""

    type: str
    dimension: str = ""
    circuit: str = ""
    valve: str = ""


def quantities_of(
    bodies: Mapping[str, Body],
    streams: Mapping[str, object],
    circuits: Mapping[str, Circuit],
    types: Mapping[str, CircuitType],
) -> dict[str, str]:
    """Every quantity of the plant, with its dimension."""
    found = {name + end: dimension for name in bodies for end, dimension in OF_BODY.items()}
    found |= {
        name + end: dim for name, body in bodies.items() if body.inner for end, dim in OF_SHELLS.items()
    }
    found |= {name + end: dimension for name in streams for end, dimension in OF_STREAM.items()}
    for name, circuit in circuits.items():
        found |= {name + end: dimension for end, dimension in OF_CIRCUIT.items()}
        kind = types.get(circuit.type)
        for valve in kind.valves if kind else ():
            found |= {f"{name}.{valve}{end}": dimension for end, dimension in OF_VALVE.items()}
    return found


def quantities(plan: Plan) -> dict[str, str]:
    """Every quantity of the plant, with its dimension."""
    return quantities_of(plan.bodies, plan.gas_streams, plan.circuits, plan.circuit_types)


def valves(plan: Plan) -> dict[str, Signal]:
    """Every valve command, `circuit.valve`."""
    return {
        f"{name}.{valve}": Signal("bool", circuit=name, valve=valve)
        for name, circuit in plan.circuits.items()
        if circuit.type in plan.circuit_types
        for valve in plan.circuit_types[circuit.type].valves
    }


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


def signals(plan: Plan) -> dict[str, Signal]:
    """Every signal that a condition may name."""
    found = {"permitted": Signal("bool"), "tripped": Signal("bool")}
    for name, item in plan.inputs.items():
        found[name] = Signal("bool") if item.kind == "switch" else Signal("real", item.kind)
    for name in plan.ramps:
        found[name] = Signal("real", "percent")
        found[f"{name}.set_point"] = Signal("real", "temperature")
    for name, signal in valves(plan).items():
        found.setdefault(name, signal)
        if plan.type_of(signal.circuit).valves[signal.valve].feedback:
            found[f"{name}.disagrees"] = Signal("bool", circuit=signal.circuit)
    return found


def timers(plan: Plan) -> dict[str, Signal]:
    """Every time that a requirement may name: of a circuit in its stage, of a valve's command since it
    changed.
    """
    found = {f"{name}.stage_time": Signal("time", circuit=name) for name in plan.circuits}
    return found | {
        f"{name}.held_time": attrs.evolve(signal, type="time") for name, signal in valves(plan).items()
    }


def resolve(name: str, circuit: str | None, known: Mapping[str, object]) -> str | None:
    """The full name that a name stands for: in a circuit type first `circuit.name`, then the name as it
    is.
    """
    local = f"{circuit}.{name}" if circuit else name
    return local if local in known else name if name in known else None
