"""Water, steam and air as the kernel sees them: constant heat capacities, ideal gases, water's real density
and saturation curve.

With enthalpies that are linear in temperature the energy of a run closes to round-off, however large the
steps. From T0 = 273.15 K: liquid h = C_L (T - T0); steam h = H_0 + C_V (T - T0), H_0 such that the heat of
evaporation at 100 degC is the real one; air h = C_A (T - T0). The heat of evaporation that follows is within
0.5 % at 60 .. 120 degC, 1.8 % high at 160 degC and 4.6 % high at 200 degC (docs/validation.md
compares it with IAPWS-IF97).
"""

from __future__ import annotations

import csv
import math
from functools import cache
from importlib.resources import files

import numpy as np

from steadfall.compiled import lean_kernel
from steadfall.constants import R_AIR, R_STEAM, ZERO_CELSIUS
from steadfall.plant.state import Reals

T0, R_A, R_V = ZERO_CELSIUS, R_AIR, R_STEAM  # by their letters in the formulas
C_L = (
    4220.0  # J/kg/K, liquid water, mean of 20..160 degC (IAPWS-95: 4184 at 20, 4216 at 100, 4337 at 160 degC)
)
C_V = 1950.0  # J/kg/K, steam near 100 degC and 1 bar (IAPWS-95: 2.08e3 saturated, 1.98e3 at 200 degC)
H_0 = 2.4834e6  # J/kg, so that h_fg(100 degC) = 2.2564e6 (IAPWS-95: 2.2564e6)
C_A = 1010.0  # J/kg/K, air at 20..250 degC (Incropera, table A.4: 1007 at 300 K, 1030 at 500 K)
# m3/kg of liquid water as a polynomial in K above T0: least squares in the relative error to IAPWS-95 at
# saturation, 0 .. 200 degC, there within 0.03 %; 0.1 % up to 275 degC. 10 bar of pressure would take 0.05 %
# from it.
V_0, V_1, V_2, V_3, V_4 = 9.99920497e-4, -8.74933996e-9, 5.88364235e-9, -1.91681897e-11, 4.77897496e-14
HOTTEST_LIQUID = 275.0  # K above T0, where the polynomial ends

K_GAS = 0.033  # W/m/K, air or steam at 150..250 degC (Incropera, tables A.4 and A.6: 0.032 .. 0.036)
MU_GAS = 2.2e-5  # Pa s, air at 150 degC 2.4e-5, steam 1.4e-5 (same tables)
PR_GAS = 0.7

# Columns of the table over the fourth root of pressure.
T_SAT, C_NUCLEATE, Q_PEAK, K_SUBCOOLED, DT_MINIMUM, C_FILM, OMEGA, DT_PER_SUBCOOLED = range(8)
# Columns of the table over temperature.
C_TURBULENT, K_LIQUID, NU_LIQUID, X_SAT = range(4)  # the last: fourth root of saturation pressure

X_LOW, X_HIGH, X_POINTS = (
    math.sqrt(math.sqrt(2000.0)),
    math.sqrt(math.sqrt(6.0e6)),
    160,
)  # roots of the ends in Pa
X_STEP = (X_HIGH - X_LOW) / (X_POINTS - 1)
PER_X_STEP = 1.0 / X_STEP
T_LOW, T_STEP, T_POINTS = ZERO_CELSIUS, 5.0, 56  # K, up to 548 K (275 degC)
PER_T_STEP = 1.0 / T_STEP


@lean_kernel
def saturation_temperature(table: Reals, x: float) -> float:
    """Temperature (K) at which water boils at the pressure x**4 (Pa); the ends of the table hold beyond
    it.
    """
    at = min(max((x - X_LOW) * PER_X_STEP, 0.0), X_POINTS - 1.000001)
    k = int(at)
    low = table[k, T_SAT]
    return float(low + (at - k) * (table[k + 1, T_SAT] - low))


@lean_kernel
def tabulated(table: Reals, at: float, column: int) -> float:
    """A column of a table at a fractional row within it."""
    k = int(at)
    low = table[k, column]
    return float(low + (at - k) * (table[k + 1, column] - low))


@lean_kernel
def row_of_pressure(x: float) -> float:
    """The fractional row of a pressure, given its fourth root."""
    return min(max((x - X_LOW) * PER_X_STEP, 0.0), X_POINTS - 1.000001)


@lean_kernel
def row_of_temperature(t: float) -> float:
    """The fractional row of a temperature in the table of liquid water."""
    return min(max((t - T_LOW) * PER_T_STEP, 0.0), T_POINTS - 1.000001)


@lean_kernel
def volume_of_liquid(above: float) -> float:
    """m3/kg of liquid water so many K above T0; the ends of the range hold beyond it."""
    t = min(max(above, 0.0), HOTTEST_LIQUID)
    return V_0 + t * (V_1 + t * (V_2 + t * (V_3 + t * V_4)))


@lean_kernel
def heat_of_evaporation(t: float) -> float:
    """J/kg from liquid to steam at T: H_0 + (C_V - C_L)(T - T0)."""
    return float(H_0 + (C_V - C_L) * (t - T0))


@cache
def read_table(name: str) -> Reals:
    """A shipped table of coefficients: comment lines, a heading, rows; the first column is where, the rest is
    what.
    """
    text = (files("steadfall.plant") / "tables" / f"{name}.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(line for line in text.splitlines() if not line.startswith("#")))
    table = np.array([[float(cell) for cell in row[1:]] for row in rows[1:]])
    table.setflags(write=False)
    return table
