"""What the phases in one cell do to each other before anything moves: drops cool the gas, steam condenses, damp gas rains.

Each exchange takes mass and energy from one phase and gives them to the other, so nothing is lost whatever the step.
"""

from __future__ import annotations

import math

from steadfall.compiled import kernel
from steadfall.plant import fields as f
from steadfall.plant.properties import C_A, C_L, C_V, H_0, R_A, R_V, RHO, T0, heat_of_evaporation
from steadfall.plant.state import Reals

DROPS = 3e6  # W/K per m3 of liquid between gas and drops or film: 0.5 mm drops, Nu about 4 (a closure, to be fitted)
CONDENSING = 0.3  # s in which steam finds subcooled liquid (a closure)
NO_MASS = 1e-14  # kg, no phase


@kernel
def exchange(cells: Reals, i: int, t_sat: float, conductance: float, share: float) -> float:
    """Let the phases of a cell act on each other; returns kg condensed. `conductance` = DROPS dt, `share` = 1 - exp(-dt/0.3 s)."""
    ml, mv = cells[i, f.ML], cells[i, f.MV]
    gas = cells[i, f.MA] * C_A + mv * C_V
    condensed = 0.0
    if ml > NO_MASS and gas > 0.0:
        liquid = ml * C_L
        heat = (cells[i, f.TG] - cells[i, f.TL]) / (RHO / (conductance * ml) + 1.0 / gas + 1.0 / liquid)
        cells[i, f.TG] -= heat / gas
        cells[i, f.TL] += heat / liquid
        if mv > 0.0 and cells[i, f.TL] < t_sat:
            condensed = condense(cells, i, t_sat, share)
    if cells[i, f.MV] > NO_MASS and cells[i, f.TG] < t_sat:
        condensed += rain(cells, i, t_sat)
    return condensed


@kernel
def condense(cells: Reals, i: int, t_sat: float, share: float) -> float:
    """Steam that meets subcooled liquid: d s/(d + s), d what the liquid could take up, s what there is, both times share."""
    ml, mv, tl = cells[i, f.ML], cells[i, f.MV], cells[i, f.TL]
    demand = ml * C_L * (t_sat - tl) / heat_of_evaporation(t_sat) * share
    supply = mv * share
    amount = demand * supply / (demand + supply)
    heat = amount * (H_0 + C_V * (cells[i, f.TG] - T0))
    cells[i, f.TL] = T0 + (ml * C_L * (tl - T0) + heat) / ((ml + amount) * C_L)
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    return float(amount)


@kernel
def rain(cells: Reals, i: int, t_sat: float) -> float:
    """Half of the steam that gas below its dew point cannot hold turns to liquid and warms the gas.

    Saturation pressure from the cell's own boiling point by Clausius-Clapeyron: p_v/p = exp(-(h_fg/R)(1/T - 1/T_sat)).
    """
    tg, mv, ma = cells[i, f.TG], cells[i, f.MV], cells[i, f.MA]
    gas = ma * C_A + mv * C_V
    latent = heat_of_evaporation(tg)
    held = math.exp(-latent / R_V * (1.0 / tg - 1.0 / t_sat))  # of the pressure that saturated steam has at tg
    present = mv * R_V / (mv * R_V + ma * R_A)
    if present <= held:
        return 0.0
    excess = mv - held / (1.0 - held) * ma * R_A / R_V
    amount = 0.5 * min(min(excess, gas * (t_sat - tg) / latent), mv)
    ml = cells[i, f.ML]
    cells[i, f.TL] = (ml * cells[i, f.TL] + amount * tg) / (ml + amount)
    cells[i, f.ML] = ml + amount
    cells[i, f.MV] = mv - amount
    left = gas - amount * C_V
    cells[i, f.TG] = tg + amount * latent / left
    return float(amount)
