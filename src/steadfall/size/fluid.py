"""Water, air and steam as a valve sees them: density, vapour pressure, molar mass.

Rule of this file: data at one temperature or pressure, from the tables that the plant uses too.
"""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.constants import ATMOSPHERE, M_AIR, M_WATER, MOLAR_GAS, ZERO_CELSIUS
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plant.law.properties import (
    MU_GAS,
    NU_LIQUID,
    T0,
    X_SAT,
    read_table,
    row_of_temperature,
    tabulated,
    volume_of_liquid,
)

CRITICAL_WATER = 22.064e6  # Pa (IAPWS-95)
GAMMA_AIR, GAMMA_STEAM = 1.4, 1.3  # ratios of heat capacities (steam: 1.25 .. 1.32, IEC 60534-2-1 table C.1)


@frozen
class Liquid:
    """A liquid before a valve: kg/m3, its vapour pressure and critical pressure in Pa, its viscosity in
    Pa s.
    """

    density: float
    vapour: float
    critical: float
    viscosity: float


@frozen
class Gas:
    """A gas before a valve: K, kg/mol, ratio of heat capacities, compressibility, viscosity in Pa s."""

    temperature: float
    molar_mass: float
    gamma: float
    compressibility: float = 1.0
    viscosity: float = MU_GAS

    def normal_volume(self, flow: float) -> float:
        """m3/s at 0 degC and 1 atm of a flow in kg/s, as valve formulas count gas."""
        return flow / self.molar_mass * MOLAR_GAS * ZERO_CELSIUS / ATMOSPHERE


def water(temperature: float) -> Liquid:
    """Water at a temperature in K, from 0 to 275 degC.

    >>> round(water(343.15).vapour)  # IAPWS-95: 31 201 Pa at 70 degC
    31201
    """
    density = 1.0 / volume_of_liquid(temperature - T0)
    table, row = read_table("liquid"), row_of_temperature(temperature)
    vapour = tabulated(table, row, X_SAT) ** 4
    return Liquid(density, vapour, CRITICAL_WATER, density * tabulated(table, row, NU_LIQUID))


def air(temperature: float) -> Gas:
    """Dry air."""
    return Gas(temperature, M_AIR, GAMMA_AIR)


def steam(pressure: float) -> Gas:
    """Saturated steam at a pressure in Pa, as an ideal gas: real steam is denser, so that more passes."""
    return Gas(boils_at(pressure), M_WATER, GAMMA_STEAM)


def free_air(flow: float) -> float:
    """m3 of free air of so many kg: at 1 bar and 20 degC, dry, the state to which a compressor's delivery is
    stated (ISO 1217; from memory).

    >>> round(free_air(1.0), 3)
    0.841
    """
    return flow * MOLAR_GAS / M_AIR * (ZERO_CELSIUS + 20.0) / 1e5


def density_of(gas: Gas, pressure: float) -> float:
    """kg/m3 at a pressure in Pa."""
    return pressure * gas.molar_mass / (gas.compressibility * MOLAR_GAS * gas.temperature)


def bore_area(bore: float) -> float:
    """m2 of a round bore."""
    return math.pi * bore**2 / 4
