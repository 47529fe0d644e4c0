"""What the phases in one cell do to each other: drops cool the gas, water evaporates into it, steam
condenses, damp gas rains.

Each exchange takes mass and energy from one phase and gives them to the other, so nothing is lost whatever
the step.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.law.properties import (
    C_A,
    C_L,
    C_V,
    H_0,
    R_A,
    R_V,
    T0,
    X_SAT,
    heat_of_evaporation,
    row_of_temperature,
    saturation_temperature,
    tabulated,
    volume_of_liquid,
)
from steadfall.plant.state import Reals

# W/K per m3 of liquid between gas and drops or film: 0.5 mm drops, Nu about 4 (a closure, to be fitted)
DROPS = 3e6
CONDENSING = 0.3  # s in which steam finds subcooled liquid (a closure)
NO_MASS = 1e-14  # kg, no phase
WETTEST = 0.99  # share of the pressure at the liquid's surface at most: nearer to boiling the march boils it
LEAST_AIR = 1e-6  # share of the pressure, so that pure steam has a logarithm
MOST_EVAPORATED = 0.5  # of a cell's liquid in one step


@inlined_kernel
def exchange(
    cells: Reals,
    i: int,
    boiling: Reals,
    liquid: Reals,
    x: float,
    t_sat: float,
    conductance: float,
    share: float,
) -> tuple[float, float]:
    """Let the phases of a cell act on each other; returns kg evaporated and kg condensed.

    x is the fourth root of the cell's pressure, `conductance` = DROPS dt, `share` = 1 - exp(-dt /
    CONDENSING).
    """
    ml, ma, mv = cells[i, f.ML], cells[i, f.MA], cells[i, f.MV]
    gas, passed = ma * C_A + mv * C_V, 0.0
    room = ma * R_A + mv * R_V  # p V/T of the gas
    if ml > NO_MASS and gas > 0.0:
        cl, tl, tg = ml * C_L, cells[i, f.TL], cells[i, f.TG]
        tie = conductance * ml * volume_of_liquid(tl - T0)  # J/K; implicit in both temperatures
        part = (tg - tl) * tie / (gas * cl + tie * (gas + cl))
        tl, tg = tl + part * gas, tg - part * cl
        cells[i, f.TL], cells[i, f.TG] = tl, tg
        air = max(ma * R_A / room, LEAST_AIR)
        passed = room * vapour(air, saturation(liquid, tl, x), tl, tg, tie, gas, room, cl, share)
        if passed > 0.0:
            return evaporate(cells, i, min(passed, MOST_EVAPORATED * ml), gas), 0.0
    if mv <= NO_MASS or not (passed < 0.0 or cells[i, f.TG] < t_sat):
        return 0.0, 0.0
    dew = saturation_temperature(boiling, x * math.sqrt(math.sqrt(mv * R_V / room)))
    condensed = 0.0
    if passed < 0.0 and cells[i, f.TL] < dew:
        condensed = condense(cells, i, dew, -passed, share)
    if cells[i, f.TG] < dew:
        condensed += rain(cells, i, dew, saturation(liquid, cells[i, f.TG], x))
    return 0.0, condensed


@inlined_kernel
def saturation(liquid: Reals, t: float, x: float) -> float:
    """The share of the pressure x^4 that steam has at saturation at a temperature; at most WETTEST."""
    root = tabulated(liquid, row_of_temperature(t), X_SAT) / x
    return min(root * root * root * root, WETTEST)


@inlined_kernel
def vapour(
    air: float,
    wet: float,
    tl: float,
    tg: float,
    tie: float,
    gas: float,
    room: float,
    cl: float,
    share: float,
) -> float:
    """How many kg pass from liquid to gas in this step by diffusion, over p V/T of the gas; below zero from
    gas to liquid.

    Stefan flow with the coefficient of mass from that of heat: m = (h A/c_p) (M_v/M) ln((1 - y)/(1 - y_s)), y
    the steam's share of the pressure, y_s that of saturation at the liquid's surface (Incropera 6e, 6.7 and
    14.2; Bird, Stewart and Lightfoot, ch. 22; from memory; Lewis factor 1, as psychrometers show it within 2
    %). `air` = 1 - y, `wet` = y_s at the liquid's temperature, `tie` = h A dt, `gas` and `cl` the heat
    capacities. The surface lies between gas and liquid: the gas heats it through h A, the liquid through cl /
    CONDENSING, and what evaporates cools it. Backward Euler in the surface, the liquid and the steam in the
    gas, each by its tangent, which in evaporation takes a little less than the curve.
    """
    latent = heat_of_evaporation(tl)
    slope = wet * latent / (R_V * tl * tl * (1.0 - wet))
    side = tie + share * cl
    drive = math.log(air / (1.0 - wet)) + slope * tie * (tg - tl) / side
    mass = tie / (R_V * gas)
    return mass * drive / (1.0 + mass * (R_V + room * slope * latent * (side + cl) / (side * cl)))


@inlined_kernel
def evaporate(cells: Reals, i: int, amount: float, gas: float) -> float:
    """Liquid turns to steam of its temperature, and gives the heat for it; returns kg."""
    ml, tl = cells[i, f.ML], cells[i, f.TL]
    cells[i, f.TL] = tl - amount * heat_of_evaporation(tl) / ((ml - amount) * C_L)
    cells[i, f.TG] += amount * C_V * (tl - cells[i, f.TG]) / (gas + amount * C_V)
    cells[i, f.ML] = ml - amount
    cells[i, f.MV] += amount
    return amount


@lean_kernel
def condense(cells: Reals, i: int, dew: float, wanted: float, share: float) -> float:
    """Steam that meets liquid below its dew point: d s/(d + s) condenses.

    d is what diffuses, no more than the liquid could take up until it has the dew point, s what there is,
    both times share. With air among the steam the dew point lies below boiling; taking boiling instead would
    let steam warm the liquid above both the gas and the wall.
    """
    ml, mv, tl = cells[i, f.ML], cells[i, f.MV], cells[i, f.TL]
    demand = min(wanted, ml * C_L * (dew - tl) / heat_of_evaporation(dew) * share)
    supply = mv * share
    amount = demand * supply / (demand + supply)
    heat = amount * (H_0 + C_V * (cells[i, f.TG] - T0))
    cells[i, f.TL] = T0 + (ml * C_L * (tl - T0) + heat) / ((ml + amount) * C_L)
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    return float(amount)


@lean_kernel
def rain(cells: Reals, i: int, dew: float, held: float) -> float:
    """Half of the steam that gas below its dew point cannot hold turns to liquid and warms the gas.

    `held` is the share of the pressure that steam has at saturation at the gas's temperature.
    """
    tg, mv, ma = cells[i, f.TG], cells[i, f.MV], cells[i, f.MA]
    gas = ma * C_A + mv * C_V
    latent = heat_of_evaporation(tg)
    excess = mv - held / (1.0 - held) * ma * R_A / R_V
    amount = 0.5 * max(min(excess, gas * (dew - tg) / latent, mv), 0.0)
    ml = cells[i, f.ML]
    cells[i, f.TL] = (ml * cells[i, f.TL] + amount * tg) / (ml + amount) if amount > 0.0 else cells[i, f.TL]
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    left = gas - amount * C_V
    cells[i, f.TG] = tg + amount * latent / left
    return float(amount)
