"""One march along a circuit at a trial pressure: where everything would be after the step, and what would leave.

From the inlet on, each cell takes what comes in, takes heat, flashes, and passes on what it has no room for, so that it ends exactly
full at its pressure; a cell with room to spare draws from the next, the last one from behind the outlet. Velocities are whatever
this needs: there is no limit on the step, masses cannot turn negative, and every term leaves one ledger and enters another.

With a, b the volumes of liquid and gas in cell volumes and S the slip, the liquid passes on c times what stays, the gas S c:
a/(1 + c) + b/(1 + S c) = 1, i.e. S c^2 + (1 + S - S a - b) c - (a + b - 1) = 0.
"""

from __future__ import annotations

import math

from steadfall.compiled import kernel
from steadfall.plant import fields as f
from steadfall.plant.exchange import NO_MASS
from steadfall.plant.properties import (
    C_A,
    C_L,
    C_V,
    H_0,
    R_A,
    R_V,
    RHO,
    T0,
    heat_of_evaporation,
    saturation_temperature,
)
from steadfall.plant.state import Reals

THIN_GAS = 1e-6  # heat capacity of gas over that of liquid below which the gas has the liquid's temperature
MOST_DRAWN = 0.95  # of the next cell's content in one step
NO_GAS = 1e-25  # kg, below which gas is dropped (its mass is far below the round-off of the books)


@kernel
def march(
    p: float, cells: Reals, work: Reals, geo: Reals, wall: Reals, boiling: Reals, flux: Reals, dt: float
) -> None:
    """Fill the N_ columns of `work` and the outflow in `flux` for inlet pressure p; inflow is in `flux` already."""
    x = math.sqrt(math.sqrt(p))
    volume, b, bs = geo[f.CELL_VOLUME], wall[f.W_B], wall[f.W_BS]
    last = cells.shape[0] - 1
    keep, evaporated, work_done, drawn, sucked = 1.0, 0.0, 0.0, 0.0, 0.0
    fl, fa, fv = flux[f.F_WATER] * dt, flux[f.F_AIR] * dt, 0.0
    hl_in, hg_in = flux[f.F_HW] * dt, flux[f.F_HA] * dt
    for i in range(last + 1):
        r, p_old = cells[i, f.RP], cells[i, f.PC]
        pi = p * r
        t_sat = saturation_temperature(boiling, x * cells[i, f.R4])
        ml = keep * cells[i, f.ML] + fl
        ma = keep * cells[i, f.MA] + fa
        mv = keep * cells[i, f.MV] + fv
        pressing = 2.0 * keep * work[i, f.VG0] * p_old * (pi - p_old) / (pi + p_old)
        work_done += pressing
        hl = keep * work[i, f.HL0] + hl_in
        hg = keep * work[i, f.HG0] + hg_in + pressing
        a = work[i, f.ALPHA0] - T0
        ql = 0.0
        if ml > NO_MASS:
            qb = keep * work[i, f.QB]
            ge = keep * work[i, f.GE] * dt
            cl = ml * C_L
            hl += qb * dt
            driving = a - bs * qb - b * cells[i, f.QG]
            warm = min((hl + ge * driving) / (cl + ge), t_sat - T0)
            taken = ge * (driving - warm)
            hl += taken
            ql = qb + taken / dt
            full = cl * (t_sat - T0)
            if hl > full:
                e = min((hl - full) / heat_of_evaporation(t_sat), ml)
                ml -= e
                mv += e
                evaporated += e
                rest = ml * C_L * (t_sat - T0)
                hg += hl - rest
                hl = rest
        cl, cg = ml * C_L, ma * C_A + mv * C_V
        qg = 0.0
        if cg > THIN_GAS * cl:
            ue = work[i, f.UE] * dt
            warm = (hg - mv * H_0 + ue * (a - bs * ql)) / (cg + ue)
            qg = work[i, f.UE] * (a - bs * ql - warm)
            hg += qg * dt
            tg = warm + T0
        else:
            warm = (hl + hg - mv * H_0) / (cl + cg)
            tg = warm + T0
            hl = cl * warm
            hg = cg * warm + mv * H_0
        vl = ml / RHO
        vg = (ma * R_A + mv * R_V) * tg / pi
        room = (vl + vg) / volume - 1.0
        keep, up = 1.0, 0.0
        if room >= 0.0:
            s = cells[i, f.SLIP]
            half = 0.5 * (1.0 + s - (s * vl + vg) / volume)
            root = math.sqrt(half * half + s * room)
            up = room / (half + root) if half > 0.0 else (root - half) / s
            ul, ug = up / (1.0 + up), s * up / (1.0 + s * up)
            fl, fa, fv = ml * ul, ma * ug, mv * ug
            hl_in, hg_in = hl * ul, hg * ug
            ml -= fl
            ma -= fa
            mv -= fv
            hl -= hl_in
            hg -= hg_in
            drawn = vl * ul + vg * ug * r
            if i == last:
                flux[f.F_GAS] = vg * ug * r / drawn if drawn > 0.0 else 1.0
        elif i < last:
            nxt = i + 1
            part = min(-room * volume / (cells[nxt, f.ML] / RHO + work[nxt, f.VG0]), MOST_DRAWN)
            ml += part * cells[nxt, f.ML]
            ma += part * cells[nxt, f.MA]
            mv += part * cells[nxt, f.MV]
            hl += part * work[nxt, f.HL0]
            hg += part * work[nxt, f.HG0]
            keep = 1.0 - part
            fl = fa = fv = hl_in = hg_in = drawn = 0.0
        else:
            sucked = -room * volume * pi / (R_A * geo[f.SINK_T])
            ma += sucked
            hg += sucked * C_A * (geo[f.SINK_T] - T0)
            fl = fa = fv = hl_in = hg_in = 0.0
            drawn = room * volume
        store(work, i, ml, ma, mv, hl, hg, tg)
        work[i, f.N_QL], work[i, f.N_QG], work[i, f.N_UP] = ql, qg, up
        work[i, f.N_OUT_L], work[i, f.N_OUT_G], work[i, f.N_OUT_V] = fl, fa + fv, drawn
    flux[f.F_LIQUID], flux[f.F_OUT_A], flux[f.F_OUT_V], flux[f.F_H] = fl, fa, fv, hl_in + hg_in
    flux[f.F_VOLUME], flux[f.F_SUCKED] = drawn, sucked
    flux[f.F_EVAPORATED], flux[f.F_WORK] = evaporated, work_done


@kernel
def store(
    work: Reals, i: int, ml: float, ma: float, mv: float, hl: float, hg: float, tg: float
) -> None:
    """Write a cell's new masses and temperatures; traces below any meaning join the other phase, with their energy."""
    if ml <= NO_MASS:
        mv += ml
        hg += hl
        ml = 0.0
        tl = tg
    else:
        if ma + mv < NO_GAS:
            hl += hg
            ma = mv = 0.0
        tl = T0 + hl / (ml * C_L)
    cg = ma * C_A + mv * C_V
    work[i, f.N_ML], work[i, f.N_MA], work[i, f.N_MV] = ml, ma, mv
    work[i, f.N_TL] = tl
    work[i, f.N_TG] = T0 + (hg - mv * H_0) / cg if cg > 0.0 else tg
