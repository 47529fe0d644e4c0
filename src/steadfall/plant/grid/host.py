"""The conductance from each circuit's wall to its host: as the plan states it, or from holes, jacket or tube
bank.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Bank, GasStream, Path
from steadfall.plant import fields as f
from steadfall.plant.grid.bodies import GAS
from steadfall.plant.kernel.losses import AIR_FROM, AIR_K, AIR_K_S, AIR_MU, AIR_MU_S
from steadfall.plant.law.drilled import drilled_conductance, is_crowded
from steadfall.plant.law.jacket import jacket_conductance
from steadfall.plant.law.tube_bank import Coefficient, Gas, bank_coefficient
from steadfall.units import shown

# Sutherland's law: value at 273 K, its constant in K (White, Viscous Fluid Flow, tables 1-2 and 1-3, from
# memory)
VISCOSITY: Mapping[str, tuple[float, float]] = {"air": (AIR_MU, AIR_MU_S), "nitrogen": (1.663e-5, 107.0)}
CONDUCTIVITY: Mapping[str, tuple[float, float]] = {"air": (AIR_K, AIR_K_S), "nitrogen": (0.0242, 150.0)}
FROM = AIR_FROM


@frozen
class Hosts:
    """W/K of each circuit at the start, and over the gas's temperature; what a person should know of those
    computed.
    """

    conductance: Mapping[str, float]
    films: Mapping[str, Sequence[float]]
    notes: tuple[str, ...]


def hosts(plan: Plan) -> Hosts:
    """The conductance of every circuit to its host."""
    found, films, notes = {}, {}, []
    for name in plan.circuits:
        path = plan.type_of(name).path
        if path.drilled is not None:
            value = path.host_factor * drilled_conductance(path, plan.materials[path.material].conductivity)
            notes += [f"host conductance of {name}: {shown(value, 'conductance')} from its holes"]
            if is_crowded(path):
                notes += [
                    (
                        f"{name}: the holes lie nearer than 1.5 diameters, where the shape factor is a rough "
                        "guide"
                    )
                ]
        elif path.jacket is not None:
            value = path.host_factor * jacket_conductance(
                path.jacket, plan.materials[path.material].conductivity
            )
            notes += [
                (
                    f"host conductance of {name}: {shown(value, 'conductance')} through the metal under its "
                    "jacket"
                )
            ]
        elif path.bank is not None:
            value, told = _in_gas(plan, name, path.bank)
            notes += told
        else:
            value = path.host_conductance or 0.0
        found[name] = value
        films[name] = (
            [value] * f.FILM_POINTS if path.bank is None else _over_temperature(plan, name, path.bank)
        )
    return Hosts(found, films, tuple(notes))


def _over_temperature(plan: Plan, name: str, bank: Bank) -> list[float]:
    """W/K of a tube bank as its gas cools: the fan's volume flow stays, the gas grows denser and less
    viscous.
    """
    points = (f.FILM_LOW + k * f.FILM_STEP for k in range(f.FILM_POINTS))
    return [_bank(plan, name, bank, t)[0] for t in points]


def _in_gas(plan: Plan, name: str, bank: Bank) -> tuple[float, list[str]]:
    stream = plan.gas_streams[plan.circuits[name].host]
    value, found = _bank(plan, name, bank, stream.start)
    notes = [
        f"host conductance of {name}: {shown(value, 'conductance')} at the start from its tube bank, gas at "
        f"{face_velocity(plan, stream):.2g} m/s before it, Re {found.reynolds:.2g}; it follows the gas's "
        "temperature"
    ]
    if not found.in_range:
        notes += [f"{name}: the gas flow lies outside the range of the tube bank's correlation"]
    return value, notes


def _bank(plan: Plan, name: str, bank: Bank, t: float) -> tuple[float, Coefficient]:
    """W/K of a circuit's tube bank in gas at a temperature."""
    path, stream = plan.type_of(name).path, plan.gas_streams[plan.circuits[name].host]
    diameter = path.bore + 2.0 * path.wall
    found = bank_coefficient(bank, diameter, face_velocity(plan, stream), gas_of(stream, t))
    return path.host_factor * found.value * math.pi * diameter * path.passes * path.length, found


def face_velocity(plan: Plan, stream: GasStream) -> float:
    """m/s of the gas before the banks, which stand side by side; a circuit without a bank takes an equal
    share.
    """
    paths = [
        plan.type_of(name).path for name, circuit in plan.circuits.items() if circuit.host == stream.name
    ]
    faces = [face(path, path.bank) for path in paths if path.bank is not None]
    return stream.fan_flow * len(faces) / len(paths) / sum(faces)


def face(path: Path, bank: Bank) -> float:
    """m2 of a bank across the stream: tubes side by side times the length of each."""
    return bank.across * bank.pitch_across * path.passes * path.length / (bank.rows * bank.across)


def gas_of(stream: GasStream, t: float) -> Gas:
    """The gas at the stream's pressure and a temperature."""
    gas_constant, heat_capacity = GAS[stream.gas]
    density = stream.pressure / (gas_constant * t)
    return Gas(
        density,
        sutherland(*VISCOSITY[stream.gas], t),
        sutherland(*CONDUCTIVITY[stream.gas], t),
        heat_capacity,
    )


def sutherland(at_start: float, constant: float, temperature: float) -> float:
    """Sutherland's law of viscosity or conductivity of a gas, within 4 % from 280 to 700 K."""
    ratio = temperature / FROM
    return float(at_start * ratio**1.5 * (FROM + constant) / (temperature + constant))
