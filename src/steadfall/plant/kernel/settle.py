"""Accept the last march: new state of the cells, friction, pressure profile, slip, walls, books."""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.patch import surface
from steadfall.plant.kernel.wall import take_heat
from steadfall.plant.law.properties import C_A, C_L, C_V, R_A, R_V, T0, heat_of_evaporation, volume_of_liquid
from steadfall.plant.state import Circuit, Reals

LAG_SLIP = 0.1  # s
LAG_FRICTION = 0.1  # s
TRICKLE = 0.05  # wetted share below which a patch has no stress of its own: it evens out in some 30 ms
LAG_PROFILE = 1.0  # s; with 0.1 s the profile and the inflow chatter at steps of 20 ms


@lean_kernel
def settle(circuit: Circuit, dt: float) -> None:
    """Write the new state of a circuit and add up its books."""
    cells, work, own, geo, wall, books, flux = circuit
    liquid_heat = gas_heat = host_heat = held = mean = 0.0
    coldest, hottest, shock = math.inf, 0.0, -math.inf
    per_dt = 1.0 / dt
    length = geo[f.CELL_LENGTH] * per_dt
    slip_lag = min(dt / LAG_SLIP, 1.0)
    by_wall, by_host = geo[f.HELD_BY_WALL], geo[f.HELD_BY_HOST]
    for i in range(cells.shape[0]):
        size = cells[i, f.SIZE]
        pass_on(cells, work, i, own[f.P], geo[f.MOST_SLIP], slip_lag)
        cells[i, f.UL] = work[i, f.N_UP] * length * size
        cells[i, f.GG] = work[i, f.N_OUT_G] * per_dt
        heat = work[i, f.N_QL] + work[i, f.N_QG]
        liquid_heat += work[i, f.N_QL] * size
        gas_heat += work[i, f.N_QG] * size
        host_heat += take_heat(cells, work, wall, i, heat) * size
        held += (cells[i, f.ML] + cells[i, f.MV]) * size
        first = cells[i, f.W0]
        cells[i, f.SKIN] = surface(cells, work, wall, i, geo[f.R_SKIN])
        mean += first * size
        coldest = min(coldest, first)
        hottest = max(hottest, first)
        whole = 0.0
        for k in range(f.SHELLS):
            whole += wall[f.W_PART + k] * cells[i, f.W0 + k]
        holds = (
            by_wall * whole
            + by_host * work[i, f.HOST_T]
            + (1.0 - by_wall - by_host) * cells[i, f.W0 + f.SHELLS - 1]
        )
        wet = cells[i, f.WET]
        if wet >= TRICKLE:
            cold = cells[i, f.SKIN] + geo[f.R_SCALE] * work[i, f.N_QL] / wet
        else:
            cold = first - (geo[f.R_SKIN] - geo[f.R_SCALE]) * heat
        shock = max(shock, holds - cold)
    pull = flux[f.F_PULL]
    settle_profile(cells, work, own, flux, pull, dt)
    settle_friction(own, geo, flux, pull / cells.shape[0], dt)
    own[f.WALL], own[f.COLDEST], own[f.HOTTEST], own[f.SHOCK] = mean / cells.shape[0], coldest, hottest, shock
    own[f.HEAT], own[f.HOST_HEAT], own[f.HELD] = liquid_heat + gas_heat, host_heat, held
    books[f.Q_LIQUID] += liquid_heat * dt
    books[f.Q_GAS] += gas_heat * dt
    books[f.Q_HOST] += host_heat * dt
    keep_books(own, books, flux, geo, dt)
    last = cells.shape[0] - 1
    cl = cells[last, f.ML] * C_L
    cg = cells[last, f.MA] * C_A + cells[last, f.MV] * C_V
    own[f.OUTLET_T] = (cl * cells[last, f.TL] + cg * cells[last, f.TG]) / (cl + cg)
    own[f.PEAK] = max(own[f.PEAK], own[f.P])
    own[f.STEPS] += 1.0


@lean_kernel
def pass_on(cells: Reals, work: Reals, i: int, p: float, most_slip: float, lag: float) -> None:
    """New contents of a cell, and its slip: Chisholm's sqrt(1 + x (rho_l/rho_g - 1)), x the flowing quality,
    1 .. 20.

    From equal friction on both phases of annular flow (Chisholm, Two-Phase Flow in Pipelines and Heat
    Exchangers, 1983, as quoted by Thome, Engineering Data Book III, 2004, chapter 17: S = sqrt(1 - x (1 -
    rho_l/rho_g))).
    """
    ml, ma, mv, tg = work[i, f.N_ML], work[i, f.N_MA], work[i, f.N_MV], work[i, f.N_TG]
    pi = p * cells[i, f.RP]
    out_l, out_g = work[i, f.N_OUT_L], work[i, f.N_OUT_G]
    if out_l + out_g > 0.0 and ma + mv > 0.0:
        # p V of the gas, and of as much liquid: their ratio is that of the densities
        gas = (ma * R_A + mv * R_V) * tg
        liquid = (ma + mv) * pi * volume_of_liquid(work[i, f.N_TL] - T0)
        slip = math.sqrt(1.0 + out_g * (gas - liquid) / ((out_l + out_g) * liquid))
        cells[i, f.SLIP] += (min(max(slip, 1.0), most_slip) - cells[i, f.SLIP]) * lag
    cells[i, f.ML], cells[i, f.MA], cells[i, f.MV] = ml, ma, mv
    cells[i, f.TL], cells[i, f.TG], cells[i, f.PC] = work[i, f.N_TL], tg, pi


@lean_kernel
def settle_friction(own: Reals, geo: Reals, flux: Reals, pull: float, dt: float) -> None:
    """Let the friction follow what flows: K_pipe times the mean of G j along the path over G j at its end.

    Only the part of the pipe through which steam really runs counts; j is taken at inlet pressure, since the
    outlet's formula already expands the fluid on its way.
    """
    end = (flux[f.F_LIQUID] + flux[f.F_OUT_A] + flux[f.F_OUT_V]) * flux[f.F_VOLUME]
    if end > 0.0:
        ratio = min(max(pull / end, 0.02), 2.0)
        own[f.K_EFF] += (ratio * geo[f.K_PIPE] - own[f.K_EFF]) * min(dt / LAG_FRICTION, 1.0)


@inlined_kernel
def settle_profile(cells: Reals, work: Reals, own: Reals, flux: Reals, total: float, dt: float) -> None:
    """Let each cell's share of the pressure follow the friction up to it.

    With y the share of all resistance up to a cell and e the exit pressure ratio: r = 1 - y (1 - e) for
    liquid, r^2 = 1 - y (1 - e^2) for gas at constant temperature, in between by the gas share of the outflow.
    """
    lag = min(dt / LAG_PROFILE, 1.0)
    eta, gas = flux[f.F_ETA], flux[f.F_GAS]
    per = own[f.K_EFF] / (flux[f.F_K] * total) if total > 0.0 else 0.0
    before = 0.0
    for i in range(cells.shape[0]):
        pull = (work[i, f.N_OUT_L] + work[i, f.N_OUT_G]) * work[i, f.N_OUT_V] * cells[i, f.SIZE]
        y = (before + 0.5 * pull) * per
        before += pull
        target = (1.0 - gas) * (1.0 - y * (1.0 - eta)) + gas * math.sqrt(
            max(1.0 - y * (1.0 - eta * eta), 0.0)
        )
        cells[i, f.RP] += (target - cells[i, f.RP]) * lag
        cells[i, f.R4] = math.sqrt(math.sqrt(cells[i, f.RP]))


@lean_kernel
def flashed_behind(flux: Reals, boils: float) -> float:
    """How many kg of the liquid that left in this step turn to steam behind the outlet.

    What left keeps its enthalpy and comes to the boiling point there: H = m_a c_a t + (m_l + m_v) c_l t + m
    h_fg, m the steam there is then, t above T0. Its motion is not taken off (5 kJ/kg at 100 m/s,
    0.2 % of h_fg), and what evaporates into the air below boiling comes on top.
    """
    liquid, air, steam = flux[f.F_LIQUID], flux[f.F_OUT_A], flux[f.F_OUT_V]
    boiling = (air * C_A + (liquid + steam) * C_L) * (boils - T0)
    left = (flux[f.F_H] - boiling) / heat_of_evaporation(boils) - steam
    return float(min(max(left, 0.0), liquid))


@lean_kernel
def keep_books(own: Reals, books: Reals, flux: Reals, geo: Reals, dt: float) -> None:
    """Add up what crossed the ends of a circuit."""
    sink = geo[f.SINK_T]
    flashed = flashed_behind(flux, geo[f.SINK_BOILS])
    own[f.WATER_FLOW], own[f.AIR_FLOW] = flux[f.F_WATER], flux[f.F_AIR]
    own[f.STEAM_FLOW] = (flux[f.F_OUT_V] + flashed) / dt
    books[f.WATER_IN] += flux[f.F_WATER] * dt
    books[f.AIR_IN] += flux[f.F_AIR] * dt
    books[f.WATER_OUT] += flux[f.F_LIQUID]
    books[f.STEAM_OUT] += flux[f.F_OUT_V]
    books[f.FLASHED_OUT] += flashed
    books[f.AIR_OUT] += flux[f.F_OUT_A]
    books[f.AIR_SUCKED] += flux[f.F_SUCKED]
    books[f.EVAPORATED] += flux[f.F_EVAPORATED]
    books[f.H_IN] += (flux[f.F_HW] + flux[f.F_HA]) * dt + flux[f.F_SUCKED] * C_A * (sink - T0)
    books[f.H_OUT] += flux[f.F_H]
    books[f.WORK] += flux[f.F_WORK]
