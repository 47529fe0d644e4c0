"""Water and steam: what the kernel reads from its tables and what it simplifies."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from scipy.optimize import brentq

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS
from steadfall.plant import fields as f
from steadfall.plant.kernel.settle import flashed_behind
from steadfall.plant.law import properties as p
from steadfall.plant.tables.make import saturated
from tests.physics.check import Check, Group, Row

IF97 = "IAPWS R7-97(2012), table {}"
STEAM = "steam table, IAPWS-IF97"
ROWS = {  # MPa: boiling point degC, heat of evaporation kJ/kg, density of the vapour kg/m3 (IAPWS-IF97)
    0.1: (99.6059, 2257.51, 0.590311),
    0.2: (120.2115, 2201.56, 1.129006),
    0.3: (133.5254, 2163.44, 1.650749),
    0.5: (151.8362, 2107.92, 2.668058),
    1.0: (179.8856, 2014.44, 5.145386),
}
BOILING = {  # MPa: enthalpy of water and of steam kJ/kg, density of the water kg/m3 (IAPWS-IF97)
    0.1: (417.436, 2674.950, 958.637),
    0.2: (504.684, 2706.241, 942.935),
    0.3: (561.455, 2724.892, 931.813),
    0.5: (640.185, 2748.108, 915.284),
    1.0: (762.683, 2777.120, 887.127),
}
SURFACE = (  # degC, saturation pressure Pa, N/m (IAPWS R1-76(2014), table 1)
    (20, 2339.3, 72.74e-3),
    (50, 12352.0, 67.94e-3),
    (100, 101418.0, 58.91e-3),
    (120, 198670.0, 54.97e-3),
    (160, 618235.0, 46.59e-3),
    (200, 1554900.0, 37.67e-3),
)


def boils_at(table: Any, pressure: float) -> float:
    """K."""
    return float(p.saturation_temperature(table, pressure**0.25))


def saturation(table: Any) -> Iterator[Row]:
    for pressure, kelvin in ((1e5, 372.755919), (1e6, 453.035632)):
        what = f"boiling temperature at {pressure / 1e6:g} MPa"
        yield Check(what, IF97.format(36), kelvin, boils_at(table, pressure), 1e-4, "K")
    for kelvin, pressure in ((300.0, 0.353658941e-2), (500.0, 2.63889776)):
        root = brentq(lambda mpa, kelvin=kelvin: boils_at(table, mpa * 1e6) - kelvin, 2.1e-3, 5.9)
        yield Check(f"vapour pressure at {kelvin:g} K", IF97.format(35), pressure, float(root), 2e-3, "MPa")
    yield Check("boiling temperature at 101.325 kPa", STEAM, 373.1243, boils_at(table, ATMOSPHERE), 1e-4, "K")
    for pressure, (celsius, _, _) in ROWS.items():
        got = boils_at(table, pressure * 1e6) - ZERO_CELSIUS
        yield Check(f"boiling point at {pressure:g} MPa", STEAM, celsius, got, 5e-4, "degC")


def simplified() -> Iterator[Row]:
    for pressure, (celsius, latent, density) in ROWS.items():
        kelvin = celsius + ZERO_CELSIUS
        got = p.heat_of_evaporation(kelvin) / 1e3
        yield Check(
            f"heat of evaporation at {pressure:g} MPa (linear in T)", STEAM, latent, got, 0.035, "kJ/kg"
        )
        vapour = pressure * 1e6 / (p.R_V * kelvin)
        yield Check(
            f"density of steam at {pressure:g} MPa (ideal gas)", STEAM, density, vapour, 0.08, "kg/m3"
        )
        liquid = p.C_L * celsius / 1e3
        yield Check(
            f"enthalpy of boiling water at {pressure:g} MPa",
            STEAM,
            BOILING[pressure][0],
            liquid,
            0.01,
            "kJ/kg",
        )
        steam = (p.H_0 + p.C_V * celsius) / 1e3
        yield Check(
            f"enthalpy of dry steam at {pressure:g} MPa", STEAM, BOILING[pressure][1], steam, 0.025, "kJ/kg"
        )
        what = f"density of boiling water at {pressure:g} MPa"
        yield Check(what, STEAM, BOILING[pressure][2], 1 / p.volume_of_liquid(celsius), 5e-4, "kg/m3")
    yield Check("heat capacity of liquid at 1 atm (constant)", "IAPWS-95", 4216.6, p.C_L, 3e-3, "J/kg/K")
    yield Check("heat capacity of dry steam at 1 atm (constant)", "IAPWS-95", 2077.4, p.C_V, 0.07, "J/kg/K")


def single_phase() -> Iterator[Row]:
    """Compressed water and superheated steam of the verification tables, as far as the kernel goes."""
    for kelvin, enthalpy, capacity in ((300.0, 115.331273, 4.17301218), (500.0, 975.542239, 4.65580682)):
        what, table = f"of water at {kelvin:g} K, 3 MPa", IF97.format(5)
        yield Check(f"enthalpy {what}", table, enthalpy, p.C_L * (kelvin - p.T0) / 1e3, 0.02, "kJ/kg")
        yield Check(f"heat capacity {what} (constant)", table, capacity, p.C_L / 1e3, 0.1, "kJ/kg/K")
    for kelvin, volume, enthalpy, capacity in (
        (300.0, 39.4913866, 2549.91145, 1.91300162),
        (700.0, 92.3015898, 3335.68375, 2.08141274),
    ):
        what, table = f"of steam at {kelvin:g} K, 3.5 kPa", IF97.format(15)
        yield Check(f"volume {what}", table, volume, p.R_V * kelvin / 3500.0, 3e-3, "m3/kg")
        steam = (p.H_0 + p.C_V * (kelvin - p.T0)) / 1e3
        yield Check(f"enthalpy {what}", table, enthalpy, steam, 0.01, "kJ/kg")
        yield Check(f"heat capacity {what} (constant)", table, capacity, p.C_V / 1e3, 0.07, "kJ/kg/K")
    backward = p.T0 + 500e3 / p.C_L
    yield Check("temperature of water of 500 kJ/kg, 3 MPa", IF97.format(7), 391.798509, backward, 1e-3, "K")


def dose_arithmetic() -> Iterator[Row]:
    liquid = p.C_L * 20.0
    for celsius, expected in ((99.9743, 2591.5), (200.0, 2791.4)):
        got = (p.H_0 + p.C_V * celsius - liquid) / 1e3
        what = f"heat to turn water of 20 degC into steam of {celsius:.0f} degC at 1 atm"
        yield Check(what, "IAPWS-95", expected, got, 3e-3, "kJ/kg")
    ratio = p.R_V * 373.124 / ATMOSPHERE / p.volume_of_liquid(20.0)
    yield Check(
        "volume of steam of 100 degC over that of its water", "IAPWS-95, 20 degC water", 1670.3, ratio, 0.03
    )


FLASHED = {  # degC of water, of which so much is steam already: the share that flashes at 1 atm (IAPWS-95)
    (116.0, 0.0): 0.030036,
    (130.0, 0.0): 0.056427,
    (151.8, 0.0): 0.097893,
    (151.8, 0.1): 0.091319,
}


def behind_the_outlet(table: Any) -> Iterator[Row]:
    """Saturated water, and wet steam, let out to the atmosphere."""
    for (celsius, steam), expected in FLASHED.items():
        flux = np.zeros(f.FLUX_FIELDS)
        flux[f.F_LIQUID], flux[f.F_OUT_V] = 1.0 - steam, steam
        flux[f.F_H] = (1.0 - steam) * p.C_L * celsius + steam * (p.H_0 + p.C_V * celsius)
        what = f"share that flashes behind the outlet: {celsius:g} degC, {100 * steam:g} % of it steam"
        got = flashed_behind(flux, boils_at(table, ATMOSPHERE))
        yield Check(what, "IAPWS-95, equal enthalpy, to 1 atm", expected, got, 0.02)


def made_of() -> Iterator[Row]:
    """What the shipped tables were made of."""
    at_450 = saturated(932.203564e3)
    release = "IAPWS R6-95(2018), table 8, 450 K"
    yield Check("liquid density behind the tables", release, 890.341250, at_450.rho_l, 1e-6, "kg/m3")
    yield Check("vapour density behind the tables", release, 4.81200360, at_450.rho_v, 1e-6, "kg/m3")
    latent = (2774.41078 - 749.161585) * 1e3
    yield Check("heat of evaporation behind the tables", release, latent, at_450.h_fg, 1e-6, "J/kg")
    for celsius, pressure, sigma in SURFACE:
        got = saturated(pressure).sigma
        yield Check(f"surface tension at {celsius} degC", "IAPWS R1-76(2014)", sigma, got, 5e-3, "N/m")
    liquid = p.read_table("liquid").copy()
    row = p.row_of_temperature(298.15)
    k = p.tabulated(liquid, row, p.K_LIQUID)
    yield Check(
        "conductivity at 25 degC (table at 60 bar)", "IAPWS R15-11, table 4", 0.607712868, k, 6e-3, "W/m/K"
    )
    hot = p.row_of_temperature(373.124)
    got = p.tabulated(liquid, hot, p.K_LIQUID)
    yield Check(
        "conductivity of water boiling at 1 atm (table at 60 bar)",
        "IAPWS R15-11",
        0.67721,
        got,
        0.01,
        "W/m/K",
    )
    got = p.tabulated(liquid, hot, p.NU_LIQUID)
    boiling = 281.66e-6 / 958.367
    yield Check("kinematic viscosity of the same", "IAPWS R12-08", boiling, got, 0.01, "m2/s")
    nu = p.tabulated(liquid, row, p.NU_LIQUID)
    yield Check(
        "kinematic viscosity at 25 degC", "IAPWS R12-08, table 4", 889.7351e-6 / 998.0, nu, 6e-3, "m2/s"
    )


def rows() -> Iterator[Row]:
    table = p.read_table("boiling").copy()
    yield from saturation(table)
    yield from simplified()
    yield from single_phase()
    yield from dose_arithmetic()
    yield from behind_the_outlet(table)
    yield from made_of()


WATER = Group(
    "Water and steam",
    "The kernel has the real saturation curve, tabulated, and water's density at its temperature; heat "
    "capacities are\n"
    "constant and gases ideal, so that its books close to round-off. The rows of constants show what that "
    "costs.",
    rows,
)
