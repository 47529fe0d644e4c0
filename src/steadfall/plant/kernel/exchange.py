"""What the phases in one cell do to each other: drops cool the gas, steam condenses, damp gas rains.

Each exchange takes mass and energy from one phase and gives them to the other, so nothing is lost whatever
the step.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
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
from steadfall.plant.state import Reals

# W/K per m3 of liquid between gas and drops or film: 0.5 mm drops, Nu about 4 (a closure, to be fitted)
DROPS = 3e6
CONDENSING = 0.3  # s in which steam finds subcooled liquid (a closure)
NO_MASS = 1e-14  # kg, no phase


@lean_kernel
def exchange(
    cells: Reals, i: int, boiling: Reals, x: float, t_sat: float, conductance: float, share: float
) -> float:
    """Let the phases of a cell act on each other; returns kg condensed.

    x is the fourth root of the cell's pressure, `conductance` = DROPS dt, `share` = 1 - exp(-dt /
    CONDENSING).
    """
    ml, ma, mv = cells[i, f.ML], cells[i, f.MA], cells[i, f.MV]
    gas = ma * C_A + mv * C_V
    if ml > NO_MASS and gas > 0.0:
        liquid = ml * C_L
        tie = conductance * ml * volume_of_liquid(cells[i, f.TL] - T0)  # J/K; implicit in both temperatures
        part = (cells[i, f.TG] - cells[i, f.TL]) * tie / (gas * liquid + tie * (gas + liquid))
        cells[i, f.TG] -= part * liquid
        cells[i, f.TL] += part * gas
    cool_liquid, cool_gas = ml > NO_MASS and cells[i, f.TL] < t_sat, cells[i, f.TG] < t_sat
    if mv <= NO_MASS or not (cool_liquid or cool_gas):
        return 0.0
    steam = mv * R_V / (mv * R_V + ma * R_A)  # share of the pressure
    dew = saturation_temperature(boiling, x * math.sqrt(math.sqrt(steam)))
    condensed = 0.0
    if cool_liquid and cells[i, f.TL] < dew:
        condensed = condense(cells, i, dew, share)
    if cells[i, f.TG] < dew:
        condensed += rain(cells, i, dew, steam)
    return condensed


@lean_kernel
def condense(cells: Reals, i: int, dew: float, share: float) -> float:
    """Steam that meets liquid below its dew point: d s/(d + s), both times share, condenses.

    d is what the liquid could take up until it has the dew point, s what there is. With air among the steam
    the dew point lies below boiling; taking boiling instead would let steam warm the liquid above both the
    gas and the wall.
    """
    ml, mv, tl = cells[i, f.ML], cells[i, f.MV], cells[i, f.TL]
    demand = ml * C_L * (dew - tl) / heat_of_evaporation(dew) * share
    supply = mv * share
    amount = demand * supply / (demand + supply)
    heat = amount * (H_0 + C_V * (cells[i, f.TG] - T0))
    cells[i, f.TL] = T0 + (ml * C_L * (tl - T0) + heat) / ((ml + amount) * C_L)
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    return float(amount)


@lean_kernel
def rain(cells: Reals, i: int, dew: float, steam: float) -> float:
    """Half of the steam that gas below its dew point cannot hold turns to liquid and warms the gas.

    Saturation pressure at T from the dew point by Clausius-Clapeyron: p/p_v = exp(-(h_fg/R)(1/T - 1/T_dew)).
    """
    tg, mv, ma = cells[i, f.TG], cells[i, f.MV], cells[i, f.MA]
    gas = ma * C_A + mv * C_V
    latent = heat_of_evaporation(tg)
    held = steam * math.exp(-latent / R_V * (1.0 / tg - 1.0 / dew))
    excess = mv - held / (1.0 - held) * ma * R_A / R_V
    amount = 0.5 * max(min(excess, gas * (dew - tg) / latent, mv), 0.0)
    ml = cells[i, f.ML]
    cells[i, f.TL] = (ml * cells[i, f.TL] + amount * tg) / (ml + amount) if amount > 0.0 else cells[i, f.TL]
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    left = gas - amount * C_V
    cells[i, f.TG] = tg + amount * latent / left
    return float(amount)
