"""Heat transfer of every cell, once a step from the state before it: what the march then only has to apply.

Liquid: h = max(3.66 k/d, C u^0.8/d^0.2) with the liquid's own velocity (laminar limit at constant wall
temperature: Incropera 6e, eq. 8.55), on the wetted share of the bore (1 - exp(-a/0.1))/(1 - exp(-10)), a the
liquid's share of the volume (a closure: an annular film of about 0.3 mm in a 12 mm bore). Gas on the rest: h
= max(4.36 k/d, 0.021 Re^0.8 Pr^0.4 k/d) (Dittus and Boelter's form with 0.021, which is used for gases, from
memory; Gnielinski is within 3 % of it at Re 2e4 .. 5e5. Kays and Crawford have 0.022 Re^0.8 Pr^0.5, from
memory: 1 % more at Pr 0.7. Laminar at constant flux: Incropera 6e, eq. 8.53).
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.exchange import NO_MASS, exchange
from steadfall.plant.kernel.patch import spread_patch
from steadfall.plant.law import properties as w
from steadfall.plant.law.boiling import FILM, MOST_SUBCOOLED, TRANSITION, boiling_flux
from steadfall.plant.law.properties import C_A, C_L, C_V, H_0, R_A, R_V, T0, volume_of_liquid
from steadfall.plant.state import Circuit, Reals, Tables

FASTEST = 30.0  # m/s, cap on the liquid's velocity in the convective coefficient
NEAR = 0.05  # relative change over which a power is carried on by its series
GAS_FACTOR = 0.021 * w.PR_GAS**0.4 * w.K_GAS
LAMINAR_WALL, LAMINAR_FLUX = 3.66, 4.36  # Nusselt numbers at constant wall temperature and at constant flux
LAMINAR, TURBULENT = 2300.0, 1e4  # Reynolds numbers between which Dittus-Boelter is used outside its range
HALF_FULL = HALF_DRY = 0.5
SECANTS = 4  # in a step; with one a newly wetted surface falls late, and less steam comes of it
STANDS_STILL = 0.25  # K
ALL_WET = 1.0 - 1e-9  # wetted share from which no gas touches the bore


@lean_kernel
def power_08(cells: Reals, i: int, value: float, base: int, power: int) -> float:
    """value^0.8, kept from step to step in the columns `base` and `power` of a cell: near the last full
    evaluation by its binomial series (error below 2e-7).
    """
    if value < 1e-9:
        return 0.0
    known = cells[i, base]
    d = value - known
    if abs(d) > NEAR * known:
        cells[i, base] = value
        cells[i, power] = value**0.8
        return float(cells[i, power])
    d /= known
    return float(cells[i, power] * (1.0 + d * (0.8 + d * (-0.08 + d * 0.032))))


@lean_kernel
def liquid_coefficient(cells: Reals, i: int, liquid: Reals, bore: float, bore_02: float) -> float:
    """Convective coefficient of the liquid, W/m2/K."""
    row = w.row_of_temperature(cells[i, f.TL])
    flow = power_08(cells, i, min(cells[i, f.UL], FASTEST), f.U_REF, f.U_POW)
    turbulent = w.tabulated(liquid, row, w.C_TURBULENT) * flow / bore_02
    return max(LAMINAR_WALL * w.tabulated(liquid, row, w.K_LIQUID) / bore, turbulent)


@lean_kernel
def too_slow(cells: Reals, i: int, liquid: Reals, geo: Reals, share: float) -> bool:
    """Whether a cell full of moving water lies between laminar flow and the range of the turbulent
    correlation; `share` of its volume is water.
    """
    if share < HALF_FULL:
        return False
    re = cells[i, f.UL] * geo[f.BORE] / w.tabulated(liquid, w.row_of_temperature(cells[i, f.TL]), w.NU_LIQUID)
    return bool(LAMINAR < re < TURBULENT)


@lean_kernel
def prepare_cells(
    circuit: Circuit, tables: Tables, x: float, known: int, dt: float
) -> tuple[float, float, int]:
    """Exchange and heat-transfer coefficients of every cell; returns kg evaporated, kg condensed and flags
    (`known`: raised).
    """
    cells, work, geo, wall = circuit.cells, circuit.work, circuit.geo, circuit.wall
    boiling, liquid = tables.boiling, tables.liquid
    share, drops = 1.0 - math.exp(-dt / geo[f.CONDENSING]), geo[f.DROPS] * dt
    bore = geo[f.BORE]
    bore_02 = bore**0.2
    per_gas = bore / (geo[f.AREA] * w.MU_GAS)
    per_volume = 1.0 / geo[f.CELL_VOLUME]
    evaporated, condensed, flags = 0.0, 0.0, 0
    for i in range(cells.shape[0]):
        here = x * cells[i, f.R4]
        row = w.row_of_pressure(here)
        t_sat = w.tabulated(boiling, row, w.T_SAT)
        if cells[i, f.ML] > 0.0 or cells[i, f.MV] > NO_MASS:
            gone, came = exchange(cells, i, boiling, liquid, here, t_sat, drops, share)
            evaporated += gone * cells[i, f.SIZE]
            condensed += came * cells[i, f.SIZE]
        ml, ma, mv = cells[i, f.ML], cells[i, f.MA], cells[i, f.MV]
        wet, work[i, f.QB], work[i, f.GE], work[i, f.DROP] = 0.0, 0.0, 0.0, 0.0
        work[i, f.VL0] = ml * volume_of_liquid(cells[i, f.TL] - T0)
        if ml > NO_MASS:
            share_l = work[i, f.VL0] * per_volume
            wet = (1.0 - math.exp(-share_l / geo[f.WETTING])) * geo[f.PER_WET_ALL] if share_l < 1.0 else 1.0
            h = liquid_coefficient(cells, i, liquid, bore, bore_02)
            spread_patch(cells, work, wall, i, wet)
            regime = wet_heat(cells, work, i, boiling, row, t_sat, h, geo[f.CELL_WALL], wall[f.W_BS])
            work[i, f.DROP] = wall[f.W_BS] * work[i, f.QB]
            work[i, f.QB] *= wet
            work[i, f.GE] *= wet
            if regime >= TRANSITION:
                flags |= f.FILM if regime == FILM else f.TRANSITION
                if t_sat - cells[i, f.TL] > MOST_SUBCOOLED:
                    flags |= f.SUBCOOLED
            if not known & f.SLOW_WATER and too_slow(cells, i, liquid, geo, share_l):
                flags |= f.SLOW_WATER
        else:
            cells[i, f.TS], cells[i, f.WET] = work[i, f.ALPHA0], 0.0
        if wet < ALL_WET:
            if not known & f.SLOW_GAS and wet < HALF_DRY:
                re = cells[i, f.GG] * per_gas
                if LAMINAR < re < TURBULENT:
                    flags |= f.SLOW_GAS
            dry_side(cells, work, wall, geo, i)
        else:
            work[i, f.UE], work[i, f.DRY] = 0.0, work[i, f.ALPHA0]
        tg = cells[i, f.TG]
        work[i, f.HL0] = ml * C_L * (cells[i, f.TL] - T0)
        work[i, f.HG0] = (ma * C_A + mv * C_V) * (tg - T0) + mv * H_0
        work[i, f.VG0] = (ma * R_A + mv * R_V) * tg / cells[i, f.PC]
    return evaporated, condensed, flags


@lean_kernel
def dry_side(cells: Reals, work: Reals, wall: Reals, geo: Reals, i: int) -> None:
    """Conductance from the dry part of a bore to the gas; its metal is what the patch leaves of the wall."""
    wet = cells[i, f.WET]
    gas = power_08(cells, i, cells[i, f.GG] * geo[f.BORE] / (geo[f.AREA] * w.MU_GAS), f.G_REF, f.G_POW)
    ua = geo[f.CELL_WALL] * max(LAMINAR_FLUX * w.K_GAS, GAS_FACTOR * gas) / geo[f.BORE]
    work[i, f.UE] = (1.0 - wet) * ua / (1.0 + ua * wall[f.W_BS])
    work[i, f.DRY] = (work[i, f.ALPHA0] - wet * work[i, f.PATCH_ALPHA0]) / (1.0 - wet)


@inlined_kernel
def wet_heat(
    cells: Reals,
    work: Reals,
    i: int,
    boiling: Reals,
    row: float,
    t_sat: float,
    h: float,
    area: float,
    resistance: float,
) -> int:
    """Boiling heat and convective conductance of a bore that is wet all over.

    The surface follows by a half-relaxed secant, until it stands still.

    With H the secant conductance at the last surface temperature, the surface would settle at (a + (b+R) H
    T_l)/(1 + (b+R) H); going half way there converges for any wall and any branch of the boiling curve, where
    taking it whole diverges on dT^3.
    """
    ts, tl, a = cells[i, f.TS], cells[i, f.TL], work[i, f.PATCH_ALPHA0]
    for _ in range(SECANTS):
        flux, share, regime = boiling_flux(boiling, row, ts, tl, t_sat)
        convective = h * share * area
        over = ts - tl
        boiled = flux * area / over if flux > 0.0 and over > 0.01 else 0.0
        secant = (convective + boiled) * resistance
        last, ts = ts, 0.5 * (ts + (a + secant * tl) / (1.0 + secant))
        if abs(ts - last) < STANDS_STILL:
            break
    cells[i, f.TS] = ts
    work[i, f.QB] = max(min(boiled * (ts - tl), (a - tl) / resistance), 0.0)
    work[i, f.GE] = convective / (1.0 + convective * resistance)
    return regime
