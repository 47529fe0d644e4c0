"""Sizes: flow coefficients by the standard's worked examples, through our door to the library."""

from __future__ import annotations

import math
from collections.abc import Iterator

from CoolProp.CoolProp import PropsSI

from steadfall.constants import ATMOSPHERE, MOLAR_GAS, ZERO_CELSIUS
from steadfall.size.fluid import Gas, Liquid, free_air, steam, water
from steadfall.size.iec import HOUR, Trim, cavitation_number, choking_drop, for_gas, for_liquid, gas_through
from tests.physics.check import Check, Group, Row

STANDARD = "IEC 60534-2-1 (ISA-75.01.01-2007), {}"
HOT = Liquid(density=965.4, vapour=70.1e3, critical=22.12e6, viscosity=3.1472e-4)
CO2 = Gas(temperature=433.0, molar_mass=0.04401, gamma=1.30, compressibility=0.988, viscosity=1.4665e-5)
ARGON = Gas(temperature=320.0, molar_mass=0.03995, gamma=1.67, viscosity=5.625e-5)
GLOBE, SEGMENT = (
    Trim(bore=0.15, before=0.15, after=0.15),
    Trim(0.60, style=0.98, bore=0.1, before=0.1, after=0.1),
)
REDUCED = Trim(0.85, 0.60, 0.42, 0.050, 0.080, 0.100)
SMALL = Trim(0.98, 0.80, 0.07, 0.015, 0.015, 0.015)


def mass(hourly: float, gas: Gas) -> float:
    """kg/s of so many normal m3/h."""
    return hourly / HOUR * ATMOSPHERE / (MOLAR_GAS * ZERO_CELSIUS) * gas.molar_mass


def rows() -> Iterator[Row]:
    got = for_liquid(0.1, 680e3, 220e3, HOT, GLOBE).kv * HOUR
    yield Check(
        "Kv of 360 m3/h of hot water, globe valve", STANDARD.format("example 1"), 165.0, got, 1e-3, "m3/h"
    )
    got = for_liquid(0.1, 680e3, 220e3, HOT, SEGMENT).kv * HOUR
    yield Check(
        "the same through a ball segment, choked", STANDARD.format("example 2"), 238.0, got, 1e-3, "m3/h"
    )
    got = choking_drop(680e3, HOT, SEGMENT)
    yield Check("drop from which that chokes", STANDARD.format("example 2"), 221e3, got, 1e-3, "Pa")
    got = for_gas(mass(3800.0, CO2), 680e3, 310e3, CO2, REDUCED).kv * HOUR
    solved = STANDARD.format("example 3: its equations solved to the end, 70.889")
    yield Check("Kv of 3800 m3/h of carbon dioxide, reducers", solved, 70.889, got, 0.03, "m3/h")
    got = for_gas(mass(0.46, ARGON), 280e3, 130e3, ARGON, SMALL).kv * HOUR
    yield Check("Kv of 0.46 m3/h of argon, laminar", STANDARD.format("example 4"), 0.0160, got, 0.04, "m3/h")
    index = "ISA-RP75.23, by its definition"
    got = cavitation_number(1e6, 8e5, Liquid(998.0, 2e5, 22e6, 1e-3))
    yield Check("cavitation index, 10 to 8 bar, vapour at 2 bar", index, 4.0, got, 1e-12)
    yield from fluids()


def fluids() -> Iterator[Row]:
    """Water and steam before a valve, against CoolProp."""
    for celsius in (14.0, 70.0, 120.0):
        t, where = celsius + ZERO_CELSIUS, "IAPWS-95 (CoolProp)"
        real = PropsSI("P", "T", t, "Q", 0, "Water")
        yield Check(f"vapour pressure of water at {celsius:g} degC", where, real, water(t).vapour, 2e-3, "Pa")
    bar, real = 7e5, PropsSI("D", "P", 7e5, "Q", 1, "Water")
    ideal = bar * 0.018015268 / (MOLAR_GAS * steam(bar).temperature)
    got = gas_through(1 / HOUR, bar, ATMOSPHERE, steam(bar)) / gas_through(
        1 / HOUR, bar, ATMOSPHERE, dense(real)
    )
    root = "the root of its density over the real one (CoolProp)"
    yield Check("saturated steam of 7 bar as an ideal gas, flow", root, math.sqrt(ideal / real), got, 1e-6)
    air = PropsSI("D", "P", 1e5, "T", 293.15, "Air")
    yield Check("free air of 1 kg", "1 bar, 20 degC (CoolProp)", 1 / air, free_air(1.0), 1e-3, "m3")


def dense(density: float) -> Gas:
    """Saturated steam of 7 bar with a compressibility that gives this density."""
    ideal = steam(7e5)
    z = 7e5 * ideal.molar_mass / (MOLAR_GAS * ideal.temperature * density)
    return Gas(ideal.temperature, ideal.molar_mass, ideal.gamma, z)


SIZING = Group(
    "Sizes",
    "What a flow asks of a valve, by IEC 60534-2-1 as the library fluids has it, behind one door. Surge on\n"
    "closing stands under what breaks plants.",
    rows,
)
