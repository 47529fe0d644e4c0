"""Heat from a wetted bore into water: convection, nucleate boiling, the peak, transition and film, in closed
form.

Only coefficients over pressure are tabulated (`correlations`); the curve itself moves freely with subcooling
and pressure. With dT = wall - saturation, sub = saturation - liquid, h the convective coefficient: dT <= 0: h
(T_w - T_l). Nucleate: C dT^3 + h (T_w - T_l). Peak: q_c = q_peak (1 + k sub) at dT_c = (q_c/C)^(1/3). Film
from dT_m = max(dT_min + k_m sub, 1.5 dT_c) on: C_film dT^0.75 + 0.8 sigma (T_w^4 - T_sat^4) + h sub:
the film's far side is at saturation, and cold water takes what convection takes from there. Between them a
straight line in ln q over ln dT. In dT_m no more subcooling counts than its data reach, so that the wall at
which a film collapses is bounded by them, too (some 600 degC at 1 bar).
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.constants import STEFAN_BOLTZMANN
from steadfall.plant.law import properties as w
from steadfall.plant.law.properties import tabulated
from steadfall.plant.state import Reals

# least ratio of the superheats at the minimum and at the peak (a choice: keeps the curve single-valued)
LEAST_SPAN = 1.5
EMISSIVITY = 0.8  # of oxidised steel (Incropera, table A.11: 0.8 .. 0.9)
# K up to which the two terms of subcooling have data (from memory: Dhir and Purohit 1978 0 .. 50, Ivey and
# Morris 1962 up to 72)
MOST_SUBCOOLED = 50.0
CONVECTION, NUCLEATE, TRANSITION, FILM = range(4)


@lean_kernel
def film_flux(table: Reals, row: float, dt: float, wall: float, t_sat: float) -> float:
    """Heat flux of film boiling with radiation through the film, W/m2."""
    root = math.sqrt(dt)
    radiation = EMISSIVITY * STEFAN_BOLTZMANN * (wall**4 - t_sat**4)
    return tabulated(table, row, w.C_FILM) * root * math.sqrt(root) + radiation


@lean_kernel
def boiling_flux(
    table: Reals, row: float, wall: float, liquid: float, t_sat: float
) -> tuple[float, float, int]:
    """Heat flux by boiling (W/m2), the share of the convective flux that comes on top, and the regime."""
    dt = wall - t_sat
    if dt <= 0.0:
        return 0.0, 1.0, CONVECTION
    sub = max(t_sat - liquid, 0.0)
    nucleate = tabulated(table, row, w.C_NUCLEATE)
    peak = tabulated(table, row, w.Q_PEAK) * (1.0 + tabulated(table, row, w.K_SUBCOOLED) * sub)
    flux = nucleate * dt * dt * dt
    if flux <= peak:
        return flux, 1.0, NUCLEATE
    dt_peak = (peak / nucleate) ** (1.0 / 3.0)
    rise = tabulated(table, row, w.DT_PER_SUBCOOLED) * min(sub, MOST_SUBCOOLED)
    dt_film = max(tabulated(table, row, w.DT_MINIMUM) + rise, LEAST_SPAN * dt_peak)
    through = sub / (dt + sub)
    if dt >= dt_film:
        return film_flux(table, row, dt, wall, t_sat), through, FILM
    least = film_flux(table, row, dt_film, t_sat + dt_film, t_sat)
    share = math.log(dt_film / dt) / math.log(dt_film / dt_peak)
    return least * (peak / least) ** share, share + (1.0 - share) * through, TRANSITION
