"""Valves, friction and outlets."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from CoolProp.CoolProp import PropsSI
from fluids.compressible import isothermal_gas
from fluids.friction import friction_factor
from numpy.typing import NDArray
from scipy.optimize import brentq, minimize_scalar

from steadfall.constants import ATMOSPHERE
from steadfall.plant.grid.path import haaland_1983
from steadfall.plant.law.correlations import leung_1986
from steadfall.plant.law.discharge import choke_table, mass_flux
from steadfall.plant.law.properties import R_A
from steadfall.plant.law.valve import water_through
from steadfall.plant.tables.make import saturated
from tests.physics.check import Check, Group, Row

KV = 1 / 3600.0  # m3/s in 1 m3/h
CV = 1.1560992  # Cv of a Kv of 1 (fluids, Kv_to_Cv)
GALLON = 3.785411784e-3  # m3
LB, FT, INCH, PSI = 0.45359237, 0.3048, 0.0254, 6894.757
Table = NDArray[np.float64]


def water() -> Iterator[Row]:
    got = water_through(KV, 2e5, 1e5) * 3.6
    yield Check("Kv 1 at 1 bar of cold water", "definition of Kv, IEC 60534-1", 1.0, got, 3e-3, "m3/h")
    got = water_through(0.45 * KV, 5e5, 1e5) * 3.6
    yield Check("Kv 0.45 at 4 bar of cold water", "definition of Kv, IEC 60534-1", 0.9, got, 1e-3, "m3/h")
    got = 3.6 * water_through(164.9954763704956 * KV, 680e3, 220e3) / math.sqrt(965.4 / 999.10329)
    example = "IEC 60534-2-1 (ISA-75.01.01-2007), example 1: Kv 165"
    yield Check(
        "360 m3/h of water of 965.4 kg/m3, 680 to 220 kPa, by the valve", example, 360.0, got, 1e-3, "m3/h"
    )
    kv = 79.94 / CV
    got = (
        3600
        * water_through(kv * KV, 80.6 * PSI, 70.8 * PSI)
        / 1000
        / math.sqrt(60.998 * LB / FT**3 / 999.10329)
    )
    crane = "Crane Technical Paper 410, example 7.27: Cv 79.94, its reducers included"
    yield Check(
        "condensate through a control valve, 80.6 to 70.8 psia",
        crane,
        250.0,
        got / GALLON / 60,
        0.01,
        "gal/min",
    )


def outlet(choke: Table) -> Iterator[Row]:
    area = math.pi * 0.15**2 / 4
    heads = 200.0 * (area / (164.9954763704956 * KV)) ** 2
    flux, _ = mass_flux(680e3, 220e3, 965.4, 0.0, heads, choke)
    example = "IEC 60534-2-1 (ISA-75.01.01-2007), example 1: Kv 165"
    yield Check("the same by the outlet's law", example, 360.0, 3600 * flux * area / 965.4, 1e-3, "m3/h")
    flux, _ = mass_flux(1e6, 9e5, 11.3, 1.0, 0.00185 * 1000 / 0.5, choke)
    closed = "closed isothermal pipe with the density at the inlet (fluids, isothermal_gas: 145.484757 kg/s)"
    library = isothermal_gas(rho=11.3, fd=0.00185, P1=1e6, P2=9e5, L=1000.0, D=0.5)
    yield Check(
        "gas through 1000 m of 0.5 m pipe, 10 to 9 bar", closed, library, flux * math.pi / 16, 2e-3, "kg/s"
    )
    flux, _ = mass_flux(170 * PSI, ATMOSPHERE, 0.374 * LB / FT**3, 1.0, 11.84, choke)
    got = flux * math.pi / 4 * (2.067 * INCH) ** 2 * 3600 / LB
    crane = "Crane Technical Paper 410, example 7.20 (11 770 by Darcy, 11 160 by sonic velocity)"
    yield Check(
        "saturated steam, 170 psia to atmosphere through K = 11.84 of 2 inch",
        crane,
        11770.0,
        got,
        0.06,
        "lb/h",
    )
    yield from pipes(choke)


def pipes(choke: Table) -> Iterator[Row]:
    """Air and a light gas through pipes, by the outlet's law for gas."""
    bore, density = 1.049 * INCH, 79.7 * PSI / (R_A * 319.26)
    flux = 100 * FT**3 / 60 * 14.696 * PSI / (R_A * 288.7) / (math.pi * bore**2 / 4)
    heads = haaland_1983(flux * bore / 1.95e-5, 4.57e-5 / bore) * 75 * FT / bore
    lost = brentq(
        lambda d: mass_flux(79.7 * PSI, 79.7 * PSI - d, density, 1.0, heads, choke)[0] - flux, 1e3, 1e5
    )
    crane = "Crane Technical Paper 410, example 7.16: 2.61"
    yield Check(
        "100 scfm of air at 65 psig through 75 ft of 1 inch pipe", crane, 2.61, float(lost) / PSI, 0.06, "psi"
    )
    bore, specific = 3.068 * INCH, 8314.5 / (0.42 * 28.96)
    inlet, kelvin = 139.7 * PSI, 333.15
    flux, _ = mass_flux(inlet, 14.7 * PSI, inlet / (specific * kelvin), 1.0, 2.87, choke)
    flow = flux * math.pi * bore**2 / 4 / (14.7 * PSI / (specific * 288.7)) * 3600 / FT**3
    crane = (
        "Crane Technical Paper 410, example 7.21: 1 028 000 by the expansion of an isentropic gas; "
        "ours is isothermal"
    )
    yield Check(
        "gas of 0.42 from 125 psig at its choke through K = 2.87 of 3 inch",
        crane,
        1.028e6,
        flow,
        0.15,
        "ft3/h",
    )


def equilibrium(pressure: float) -> float:
    """Greatest isentropic flux of the homogeneous equilibrium fluid, kg/s/m2."""
    s0, h0 = (PropsSI(what, "P", pressure, "Q", 0, "Water") for what in ("S", "H"))

    def flux(p: float) -> float:
        rho = PropsSI("D", "P", p, "S", s0, "Water")
        return float(-rho * math.sqrt(max(2 * (h0 - PropsSI("H", "P", p, "S", s0, "Water")), 0.0)))

    return float(-minimize_scalar(flux, bounds=(0.4 * pressure, 0.999 * pressure), method="bounded").fun)


def flashing(choke: Table) -> Iterator[Row]:
    source = "isentropic homogeneous equilibrium, IAPWS-95; ours has one velocity head to lose"
    for bar in (2.0, 5.0, 10.0):
        s = saturated(bar * 1e5)
        flux, _ = mass_flux(bar * 1e5, 1e4, s.rho_l, leung_1986(s), 1.0, choke)
        yield Check(
            f"choked flashing water from {bar:g} bar", source, equilibrium(bar * 1e5), flux, 0.2, "kg/s/m2"
        )


def friction() -> Iterator[Row]:
    source = "Colebrook, solved by Clamond (fluids, friction_factor)"
    for re, rough in ((1e5, 1e-4), (5e4, 0.05 / 14), (2e4, 0.0), (1e6, 1e-3)):
        library = friction_factor(Re=re, eD=rough)
        got = haaland_1983(re, rough)
        yield Check(f"friction factor at Re {re:.0e}, e/D {rough:.2g}", source, library, got, 0.02)


def two_phase(choke: Table) -> Iterator[Row]:
    """Twenty metres of 50 mm pipe: the pressure drop at which the outlet's law passes 0.6 kg/s of 10 %
    steam.
    """
    rho, length, inlet = 1 / (0.1 / 2.67 + 0.9 / 915.0), 20.0, 5e5
    gas, flux = 0.1 / 2.67 * rho, 0.6 / (math.pi * 0.05**2 / 4)
    heads = haaland_1983(5e4, 0.05 / 50) * length / 0.05
    lost = brentq(lambda d: mass_flux(inlet, inlet - d, rho, gas, heads, choke)[0] - flux, 1e3, 1e5)
    drop = float(lost) / length
    case = "Whalley, Boiling, condensation and gas-liquid flow, example 4 (Friedel): 730"
    yield Check("two-phase friction, 0.6 kg/s, x 0.1, 50 mm", case, 730.0, drop, 0.5, "Pa/m")
    other = "Mueller-Steinhagen and Heck (fluids): 793.4"
    yield Check("two-phase friction, 0.6 kg/s, x 0.1, 50 mm", other, 793.4465457, drop, 0.5, "Pa/m")
    for name, expected in (("Lockhart and Martinelli", 716.4695655), ("Chisholm", 1084.148992)):
        yield Check(
            "two-phase friction, 0.6 kg/s, x 0.1, 50 mm", f"{name} (fluids)", expected, drop, 0.5, "Pa/m"
        )
    mixed = "homogeneous with McAdams' viscosity, by hand"
    yield Check("two-phase friction, 0.6 kg/s, x 0.1, 50 mm", mixed, 569.59, drop, 0.6, "Pa/m")


def rows() -> Iterator[Row]:
    choke = choke_table()
    yield from water()
    yield from outlet(choke)
    yield from flashing(choke)
    yield from friction()
    yield from two_phase(choke)


VALVES = Group(
    "Valves, friction and outlets",
    "Water and air through valves by IEC 60534; what leaves a circuit by one homogeneous law from liquid "
    "to flashing\n"
    "water. Two-phase correlations differ from each other by a factor of ten on one case; ours is the "
    "homogeneous one.",
    rows,
)
