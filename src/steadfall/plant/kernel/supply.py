"""What the valves of a circuit let in: water by its Kv, air by its Kv and expansion, each through a check
valve.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.header import SOFT, X_T, shared_flow
from steadfall.plant.law.properties import C_A, C_L, R_A, T0
from steadfall.plant.state import Ints, Reals


@lean_kernel
def water_through(kv: float, before: float, after: float) -> float:
    """Water through a valve, kg/s: Q = Kv sqrt(dp / 1 bar) (IEC 60534-2-1, cold water); none backwards."""
    drop = before - after
    if drop <= 0.0:
        return 0.0
    return 1000.0 * kv * drop / math.sqrt(1e5 * (drop + SOFT))


@lean_kernel
def air_through(kv: float, before: float, temperature: float, after: float) -> float:
    """Air through a valve, kg/s: W = Kv Y sqrt(10 x p1 rho1) in SI, Y = 1 - x/(3 x_T), at most x = x_T; none
    backwards.

    IEC 60534-2-1: W[kg/h] = 3.16 Kv[m3/h] Y sqrt(x p1[kPa] rho1), ratio of heat capacities 1.4 (F_gamma = 1).
    Kv in m3/s at 1 bar.
    """
    drop = before - after
    if drop <= 0.0:
        return 0.0
    x = min(drop / before, X_T)
    density = before / (R_A * temperature)
    soft = math.sqrt(drop / (drop + SOFT))
    return kv * (1.0 - x / (3.0 * X_T)) * math.sqrt(1e-2 * x * before * density) * soft


@lean_kernel
def inflow(
    first: int,
    end: int,
    kinds: Ints,
    valves: Reals,
    through: Reals,
    flows: Reals,
    header: Reals,
    others: Reals,
    p: float,
    flux: Reals,
) -> float:
    """Note water and air into a circuit at inlet pressure p; returns the Kv of its open bypasses."""
    water = air = water_heat = air_heat = bypass = 0.0
    for v in range(first, end):
        kv = through[v]
        flows[v] = 0.0
        if kv <= 0.0:
            continue
        t = valves[v, f.V_T]
        if kinds[v] == f.BYPASS:
            bypass += kv
            continue
        if valves[v, f.V_HEADER] >= 0.0:
            flow = shared_flow(v, first, end, valves, through, p, header, others)
        elif kinds[v] == f.WATER:
            flow = water_through(kv, valves[v, f.V_P], p)
        else:
            flow = air_through(kv, valves[v, f.V_P], t, p)
        flows[v] = flow
        if kinds[v] == f.WATER:
            water += flow
            water_heat += flow * C_L * (t - T0)
        else:
            air += flow
            air_heat += flow * C_A * (t - T0)
    flux[f.F_WATER] = water
    flux[f.F_AIR] = air
    flux[f.F_HW] = water_heat
    flux[f.F_HA] = air_heat
    return bypass
