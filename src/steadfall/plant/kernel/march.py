"""One march along a circuit at a trial pressure: where everything would be after the step, and what would
leave.

From the inlet on, each cell takes what comes in, takes heat, flashes, and passes on what it has no room for,
so that it ends exactly full at its pressure; a cell with room to spare draws from the next, the last one from
behind the outlet. Cells have their own lengths: contents are those of a cell of mean length, what passes on
is all that passes. Velocities are whatever this needs: there is no limit on the step, masses cannot turn
negative, and every term leaves one ledger and enters another.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.exchange import NO_MASS
from steadfall.plant.law.properties import (
    C_A,
    C_L,
    C_V,
    H_0,
    R_A,
    R_V,
    T0,
    heat_of_evaporation,
    saturation_temperature,
    volume_of_liquid,
)
from steadfall.plant.state import Circuit, Reals

THIN_GAS = 1e-6  # heat capacity of gas over that of liquid below which the gas has the liquid's temperature
MOST_DRAWN = 0.95  # of the next cell's content in one step
NO_GAS = 1e-25  # kg, below which gas is dropped (its mass is far below the round-off of the books)


@lean_kernel
def march(p: float, circuit: Circuit, boiling: Reals, dt: float) -> None:
    """Fill the N_ columns of `work` and the outflow in `flux` for inlet pressure p; inflow is in `flux`
    already.
    """
    cells, work, geo, flux = circuit.cells, circuit.work, circuit.geo, circuit.flux
    x = math.sqrt(math.sqrt(p))
    volume, per_dt = geo[f.CELL_VOLUME], 1.0 / dt
    last, per_volume = cells.shape[0] - 1, 1.0 / volume
    keep, evaporated, pressed, pull, moved, sucked = 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    fl, fa, fv = flux[f.F_WATER] * dt, flux[f.F_AIR] * dt, 0.0
    hl_in, hg_in = flux[f.F_HW] * dt, flux[f.F_HA] * dt
    for i in range(last + 1):
        r, p_old, size, per_size = cells[i, f.RP], cells[i, f.PC], cells[i, f.SIZE], cells[i, f.PER_SIZE]
        pi = p * r
        boils = saturation_temperature(boiling, x * cells[i, f.R4]) - T0
        pressing = 2.0 * keep * work[i, f.VG0] * p_old * (pi - p_old) / (pi + p_old)  # V dP
        pressed += pressing * size
        ml, ma, mv = (
            keep * cells[i, f.ML] + fl * per_size,
            keep * cells[i, f.MA] + fa * per_size,
            keep * cells[i, f.MV] + fv * per_size,
        )
        hl, hg = keep * work[i, f.HL0] + hl_in * per_size, keep * work[i, f.HG0] + hg_in * per_size + pressing
        driving = work[i, f.PATCH_ALPHA0] - T0 - keep * work[i, f.DROP]
        boiling_heat, ge = keep * work[i, f.QB] * dt, keep * work[i, f.GE] * dt
        hl, e, ql = heat_liquid(ml, hl, boiling_heat, ge, driving, boils)
        if e > 0.0:
            ml, mv, evaporated = ml - e, mv + e, evaporated + e * size
            rest = min(hl, ml * C_L * boils)
            hl, hg = rest, hg + hl - rest
        hl, hg, warm, qg = heat_gas(ml, ma, mv, hl, hg, work[i, f.UE] * dt, work[i, f.DRY] - T0)
        vl, vg = filled(ml, hl), (ma * R_A + mv * R_V) * (warm + T0) / pi
        room = (vl + vg) * per_volume - 1.0
        keep, up = 1.0, 0.0
        if room >= 0.0:
            ul, ug, up = passing(room, vl * per_volume, vg * per_volume, cells[i, f.SLIP])
            fl, fa, fv, hl_in, hg_in = ml * ul, ma * ug, mv * ug, hl * ul, hg * ug
            ml, ma, mv, hl, hg = ml - fl, ma - fa, mv - fv, hl - hl_in, hg - hg_in
            fl, fa, fv, hl_in, hg_in = fl * size, fa * size, fv * size, hl_in * size, hg_in * size
            moved = (vl * ul + vg * ug * r) * size
            pull += (fl + fa + fv) * moved * size
            if i == last:
                flux[f.F_GAS] = vg * ug * r * size / moved if moved > 0.0 else 1.0
        else:
            fl = fa = fv = hl_in = hg_in = moved = 0.0
            if i < last:
                keep, part = draw(cells, work, i, -room * volume)
                ml, ma = ml + part * cells[i + 1, f.ML], ma + part * cells[i + 1, f.MA]
                mv += part * cells[i + 1, f.MV]
                hl, hg = hl + part * work[i + 1, f.HL0], hg + part * work[i + 1, f.HG0]
            else:
                moved = room * volume * size
                sucked = -moved * pi / (R_A * geo[f.SINK_T])
                ma, hg = ma + sucked * per_size, hg + sucked * per_size * C_A * (geo[f.SINK_T] - T0)
        store(work, i, ml, ma, mv, hl, hg, warm + T0)
        work[i, f.N_QL], work[i, f.N_QG], work[i, f.N_UP] = ql * per_dt, qg * per_dt, up
        work[i, f.N_OUT_L], work[i, f.N_OUT_G], work[i, f.N_OUT_V] = fl, fa + fv, moved
    report(flux, fl, fa, fv, hl_in + hg_in, moved, sucked, evaporated, pressed, pull)


@lean_kernel
def filled(ml: float, hl: float) -> float:
    """m3 that so many kg of liquid with so many J take."""
    return ml * volume_of_liquid(hl / (ml * C_L)) if ml > NO_MASS else 0.0


@lean_kernel
def report(
    flux: Reals,
    liquid: float,
    air: float,
    steam: float,
    heat: float,
    volume: float,
    sucked: float,
    evaporated: float,
    work: float,
    pull: float,
) -> None:
    """What left the last cell, and what the march did on its way."""
    flux[f.F_LIQUID], flux[f.F_OUT_A], flux[f.F_OUT_V], flux[f.F_H] = liquid, air, steam, heat
    flux[f.F_VOLUME], flux[f.F_SUCKED] = volume, sucked
    flux[f.F_EVAPORATED], flux[f.F_WORK], flux[f.F_PULL] = evaporated, work, pull


@lean_kernel
def draw(cells: Reals, work: Reals, i: int, space: float) -> tuple[float, float]:
    """Share of the next cell's old content that stays when this one draws `space` (m3, of a mean length) from
    it, and how many times what the next one holds comes over.
    """
    share = cells[i, f.SIZE] * cells[i + 1, f.PER_SIZE]
    drawn = min(space * share / (work[i + 1, f.VL0] + work[i + 1, f.VG0]), MOST_DRAWN)
    return 1.0 - drawn, drawn / share


@lean_kernel
def heat_liquid(
    ml: float, hl: float, boiling: float, ge: float, driving: float, boils: float
) -> tuple[float, float, float]:
    """Liquid takes boiling heat (J) and convection (ge in J/K, implicit), and flashes at `boils` (K above
    T0).

    The wall gives no more boiling heat than turns all of the liquid to steam: for the rest of the step it is
    dry, and heat meant for water would make the steam hotter than the wall. Returns the liquid's enthalpy
    before the vapour leaves, the mass that turns to vapour, and the heat taken (J).
    """
    if ml <= NO_MASS:
        return hl, 0.0, 0.0
    cl = ml * C_L
    latent = heat_of_evaporation(boils + T0)
    boiling = min(boiling, max(cl * boils + ml * latent - hl, 0.0))
    hl += boiling
    convection = ge * (driving - min((hl + ge * driving) / (cl + ge), boils))
    hl += convection
    over = hl - cl * boils
    e = min(over / latent, ml) if over > 0.0 else 0.0
    return hl, e, boiling + convection


@lean_kernel
def heat_gas(
    ml: float, ma: float, mv: float, hl: float, hg: float, ue: float, surface: float
) -> tuple[float, float, float, float]:
    """Gas takes heat from the wall (ue in J/K, implicit), or has the liquid's temperature if there is hardly
    any.

    Returns the enthalpies of liquid and gas, the gas's temperature above T0, and the heat taken (J).
    """
    cl, cg = ml * C_L, ma * C_A + mv * C_V
    if cg > THIN_GAS * cl:
        warm = (hg - mv * H_0 + ue * surface) / (cg + ue)
        heat = ue * (surface - warm)
        return hl, hg + heat, warm, heat
    warm = (hl + hg - mv * H_0) / (cl + cg)
    return cl * warm, cg * warm + mv * H_0, warm, 0.0


@lean_kernel
def passing(room: float, a: float, b: float, s: float) -> tuple[float, float, float]:
    """Shares of liquid and gas that pass on, and liquid passed on over liquid that stays.

    With a, b the volumes of liquid and gas in cell volumes, room = a + b - 1 and s the slip, the liquid
    passes on c times what stays, the gas s c: a/(1 + c) + b/(1 + s c) = 1, i.e. s c^2 + (1 + s - s a - b) c -
    room = 0, of which the positive root is taken.
    """
    half = 0.5 * (1.0 + s - s * a - b)
    root = math.sqrt(half * half + s * room)
    if half > 0.0:
        under = half + root
        return room / (room + under), s * room / (s * room + under), room / under
    over = root - half
    return over / (s + over), over / (1.0 + over), over / s


@lean_kernel
def store(work: Reals, i: int, ml: float, ma: float, mv: float, hl: float, hg: float, tg: float) -> None:
    """Write a cell's new masses and temperatures; traces below any meaning join the other phase, with their
    energy.
    """
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
