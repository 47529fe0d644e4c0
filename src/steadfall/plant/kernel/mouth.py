"""The mouth of the bore, where every dose begins: the coldest water on the hottest metal, for the whole dose.

Here the bore's stress is greatest, and no cell is short enough to see it: water warms up within some 0.2 m.
So the mouth has a column of metal of its own, from the bore out to what holds it back, for stress alone (heat
is booked in the cells). While water comes in, it meets that water at its own temperature, with the velocity
that the film has there: j_l + j_g/S, from the volume fluxes of the water and air that come in and Chisholm's
slip S, which is what the first cell tends to as cells get shorter. Without water coming in it has the film of
its cell on the cell's wetted share. The surface follows by the half-relaxed secant of `heat`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.heat import FASTEST, LAMINAR_WALL
from steadfall.plant.law import properties as w
from steadfall.plant.law.boiling import boiling_flux
from steadfall.plant.law.properties import C_A, C_L, R_A, T0, volume_of_liquid
from steadfall.plant.state import Circuit, Reals, Tables

SUBSTEPS = 4  # of the plant's step: the surface falls within some 10 ms of the first water
ROUNDS = 2  # of the secant in each


class Film(NamedTuple):
    """What the mouth meets in a step."""

    liquid: float  # K
    coefficient: float  # W/m2/K of convection
    wet: float  # share of the mouth that it wets
    gas: float  # W/m2 that gas takes
    at: float  # row of the table of boiling
    t_sat: float  # K


@lean_kernel
def prepare_mouth(row: Reals, metal: Reals, behind: float, dt: float) -> None:
    """The elimination of the mouth's shells for a part of a step and for a whole one.

    `behind` in W/m2/K where the host is felt as by the wall of the cells.
    """
    out = metal[f.M_OUT] if metal[f.M_OUT] > 0.0 else behind
    prepare_elimination(row, f.S_PART, metal, out, dt / SUBSTEPS)
    prepare_elimination(row, f.S_WHOLE, metal, out, dt)


@lean_kernel
def prepare_elimination(row: Reals, at: int, metal: Reals, outer: float, step: float) -> None:
    """The elimination of the mouth's shells for `step` s, kept from column `at` on."""
    beta = 0.0
    for k in range(f.MOUTH_SHELLS - 1, -1, -1):
        inner = metal[f.M_LINK + k - 1] if k > 0 else 0.0
        capacity = metal[f.M_CAPACITY + k] / step
        fall = 1.0 / (capacity + outer * (1.0 - beta) + inner)
        row[at + f.E_KEEP + k], row[at + f.E_PASS + k] = capacity * fall, outer * fall
        beta = inner * fall
        row[at + f.E_BETA + k], row[at + f.E_B] = beta, fall
        outer = inner


@inlined_kernel
def film_at_mouth(circuit: Circuit, tables: Tables) -> Film:
    """What the mouth meets: the water that comes in, or else the film of its cell."""
    cells, flux, geo = circuit.cells, circuit.flux, circuit.geo
    water, air = flux[f.F_WATER], flux[f.F_AIR]
    if water > 0.0:
        tl, wet = T0 + flux[f.F_HW] / (water * C_L), 1.0
        thick = volume_of_liquid(tl - T0)
        u = water * thick / geo[f.AREA]
        if air > 0.0:
            thin = R_A * (T0 + flux[f.F_HA] / (air * C_A)) / circuit.own[f.P]
            slip = math.sqrt(1.0 + air / (air + water) * (thin / thick - 1.0))
            u += air * thin / geo[f.AREA] / min(max(slip, 1.0), geo[f.MOST_SLIP])
    else:
        tl, u, wet = cells[0, f.TL], cells[0, f.UL], cells[0, f.WET]
    row = w.row_of_temperature(tl)
    turbulent = w.tabulated(tables.liquid, row, w.C_TURBULENT) * min(u, FASTEST) ** 0.8 / geo[f.BORE] ** 0.2
    h = max(LAMINAR_WALL * w.tabulated(tables.liquid, row, w.K_LIQUID) / geo[f.BORE], turbulent)
    at = w.row_of_pressure(math.sqrt(math.sqrt(circuit.own[f.P])))
    t_sat = w.tabulated(tables.boiling, at, w.T_SAT)
    gas = circuit.work[0, f.N_QG] / geo[f.CELL_WALL] if wet < 1.0 else 0.0
    return Film(tl, h, wet, gas, at, t_sat)


@inlined_kernel
def wetted_surface(ts: float, alpha: float, resistance: float, film: Film, boiling: Reals) -> float:
    """The surface that gives its film what the metal brings: `alpha` is where it would be without liquid."""
    for _ in range(ROUNDS):
        over = ts - film.liquid
        boiled, share, _ = boiling_flux(boiling, film.at, ts, film.liquid, film.t_sat)
        coefficient = film.coefficient * share
        if boiled > 0.0 and over > 0.01:
            coefficient += boiled / over
        secant = film.wet * coefficient * resistance
        ts = 0.5 * (ts + (alpha + secant * film.liquid) / (1.0 + secant))
    return ts


@inlined_kernel
def cool_column(row: Reals, metal: Reals, film: Film, boiling: Reals, host: float) -> float:
    """Advance the mouth's metal by a step; returns the K by which its surface is below its mean."""
    at, parts = (f.S_PART, SUBSTEPS) if film.wet > 0.0 else (f.S_WHOLE, 1)
    resistance, ts = row[at + f.E_B] + metal[f.M_SKIN], row[f.S_SURFACE]
    for _ in range(parts):
        alpha = host
        for k in range(f.MOUTH_SHELLS - 1, -1, -1):
            alpha = row[at + f.E_KEEP + k] * row[f.S_SHELL + k] + row[at + f.E_PASS + k] * alpha
            row[f.S_ALPHA + k] = alpha
        alpha -= resistance * film.gas
        ts = wetted_surface(ts, alpha, resistance, film, boiling) if film.wet > 0.0 else alpha
        t = row[f.S_ALPHA] - row[at + f.E_B] * (film.gas + (alpha - ts) / resistance)
        row[f.S_SHELL] = t
        for k in range(1, f.MOUTH_SHELLS):
            t = row[f.S_ALPHA + k] + row[at + f.E_BETA + k] * t
            row[f.S_SHELL + k] = t
    row[f.S_SURFACE] = ts
    heat, whole = 0.0, 0.0
    for k in range(f.MOUTH_SHELLS):
        heat += metal[f.M_CAPACITY + k] * row[f.S_SHELL + k]
        whole += metal[f.M_CAPACITY + k]
    return float(heat / whole - ts)
