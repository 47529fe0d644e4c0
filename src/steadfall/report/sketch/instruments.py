"""Which sensor sits where, and the letters in its circle (ISA-5.1, from memory of the standard).

Rule of this file: a place follows from the quantity that is measured; an input of which the plan does not say
what it measures has none and is not drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum, auto

from attrs import frozen

from steadfall.plan.meaning.names import input_identity, quantities, resolve, segment, valves
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import Input, Plan
from steadfall.quantities import (
    AIR_FLOW,
    CIRCUIT_PRESSURE,
    IS_OPEN,
    IS_SHUT,
    OUTLET_TEMPERATURE,
    POSITION,
    STEAM_FLOW,
    WATER_FLOW,
    Quantity,
)

# Measured variable; `X` is what the standard leaves to the user.
FIRST: Mapping[str, str] = {
    "temperature": "T",
    "temperature_difference": "TD",
    "pressure": "P",
    "mass_flow": "F",
    "mass": "W",
    "power": "J",
    "switch": "Z",
    "fraction": "Z",
}
ENDS: Mapping[Quantity, str] = {IS_OPEN: "O", IS_SHUT: "C"}  # which end a limit switch shows


class Spot(Enum):
    """A place along a circuit, or of another thing."""

    INLET = auto()
    WALL = auto()
    OUTLET = auto()
    THING = auto()  # a body, a gas stream, a valve


SPOTS: Mapping[Quantity, Spot] = {
    CIRCUIT_PRESSURE: Spot.INLET,
    WATER_FLOW: Spot.INLET,
    AIR_FLOW: Spot.INLET,
    OUTLET_TEMPERATURE: Spot.OUTLET,
    STEAM_FLOW: Spot.OUTLET,
    POSITION: Spot.THING,
    IS_OPEN: Spot.THING,
    IS_SHUT: Spot.THING,
}


@frozen
class Sensor:
    """An input with the letters of its circle, and its name, short where it stands at its own circuit."""

    input: Input
    letters: str
    label: str


Sensors = Mapping[tuple[Spot, str], tuple[Sensor, ...]]


def sensors(plan: Plan) -> Sensors:
    """The sensors at each place: of a circuit, a body, a gas stream or a `circuit.valve` by its name."""
    known, owners, shows = quantities(plan), _owners(plan), _switches(plan)
    circuits = {name: one.circuit for name, one in valves(plan).items()}
    found: dict[tuple[Spot, str], tuple[Sensor, ...]] = {}
    for item in plan.inputs.values():
        seen = known.get(item.measures or "")
        if seen is not None:
            owner = owners.get(seen.owner, seen.owner)
            spot = SPOTS.get(seen.quantity, Spot.WALL) if owner in plan.circuits else Spot.THING
            place, letters = (spot, owner), _letters(item, seen.quantity)
        elif item.name in shows:
            place, letters = (Spot.THING, shows[item.name]), "ZSO"
        else:
            continue
        own = input_identity(plan, item.name)
        here = place[1] if place[1] in plan.circuits else circuits.get(place[1], "")
        label = own.of if own.circuit and own.circuit == here else item.name
        found[place] = (*found.get(place, ()), Sensor(item, letters, label))
    return found


def _letters(item: Input, measured: Quantity) -> str:
    first = FIRST.get(measured.dimension, "X")
    return f"{first}S{ENDS.get(measured, '')}" if item.is_digital else f"{first}T"


def _owners(plan: Plan) -> Mapping[str, str]:
    """The body of each of its segments."""
    return {
        segment(name, number): name
        for name, body in plan.bodies.items()
        if body.parts > 1
        for number in range(1, body.parts + 1)
    }


def _switches(plan: Plan) -> Mapping[str, str]:
    """The valve that each limit switch shows open, where the plan says so at the valve."""
    return {
        resolve(one.feedback.input, one.circuit or None, plan.inputs) or "": one.command.name
        for one in limit_switches(plan)
    }
