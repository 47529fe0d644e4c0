"""Several valves on one supply: the pressure before them falls as more is drawn.

All valves of a supply share a resistance Kv_s (its `kv`, and the friction of its line). What the valves of
one circuit let in together, W, follows from its pressure p and from what other circuits draw, Q, as they
stand at that moment: water by dp = a (Q + W)^2 + b W^2 with a = 1/Kv_s^2 and b = 1/Kv^2 of the open valves
side by side, air by IEC 60534-2-1 through both resistances. A circuit so feels its own share of the drop
within the step and the others' share one step late, circuit after circuit (Gauss-Seidel), which settles
whatever the resistances; other circuits' pressures in place of their flows were tried, and full circuits then
took turns with every step. One valve alone is exact: 1/Kv^2 = 1/Kv_s^2 + 1/Kv_v^2. The valves of one circuit
share as their Kv, at their mean lift.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.law.properties import R_A
from steadfall.plant.state import Ints, Reals

SOFT = 500.0  # Pa below which the square-root laws are made straight, so that their slope stays finite
# pressure drop ratio at which a valve chokes on air (IEC 60534-2-1: typical globe valves 0.6 .. 0.75)
X_T = 0.70
DRAWN_TRIALS = 60
DRAWN_WITHIN = 1e-9  # of what could come, and of the root of the pressure drop


@lean_kernel
def others_draw(first: Ints, valves: Ints, circuits: Ints, flow: Reals, c: int, others: Reals) -> None:
    """kg/s that the valves of other circuits than c draw from each header."""
    for h in range(others.size):
        others[h] = 0.0
        for k in range(first[h], first[h + 1]):
            if circuits[valves[k]] != c:
                others[h] += flow[valves[k]]


@lean_kernel
def shared_water(kv: float, shared: float, supply: float, p: float, others: float) -> float:
    """kg/s of water through a Kv behind a shared one, from which others draw too; none backwards."""
    per_shared, per_own = 1.0 / (shared * shared), 1.0 / (kv * kv)
    drawn = others * 1e-3
    drop = (supply - p) - 1e5 * per_shared * drawn * drawn  # Pa that others leave
    if drop <= 0.0:
        return 0.0
    soft = drop / (drop + SOFT)
    half = per_shared * drawn
    both = per_shared + per_own
    return 1000.0 * drop * 1e-5 / (half + math.sqrt(half * half + both * drop * 1e-5)) * math.sqrt(soft)


@lean_kernel
def air_per_kv(before: float, temperature: float, after: float) -> float:
    """kg/s of air through a Kv of 1 m3/s at 1 bar, by IEC 60534-2-1, without the straight part near zero."""
    drop = before - after
    if drop <= 0.0:
        return 0.0
    x = min(drop / before, X_T)
    return (1.0 - x / (3.0 * X_T)) * before * math.sqrt(1e-2 * x / (R_A * temperature))


@lean_kernel
def shared_air(kv: float, shared: float, supply: float, t: float, p: float, others: float) -> float:
    """kg/s of air through a Kv behind a shared one: Illinois rule in the root of the drop before the
    valve.
    """
    if supply <= p:
        return 0.0
    low, high = 0.0, math.sqrt(supply - p)
    low_f = -others - kv * air_per_kv(supply, t, p)
    high_f = shared * air_per_kv(supply, t, p) - others
    if high_f <= 0.0:
        return 0.0
    most, side, root = high, 0, high
    for _ in range(DRAWN_TRIALS):
        root = (low * high_f - high * low_f) / (high_f - low_f)
        before = supply - root * root
        miss = shared * air_per_kv(supply, t, before) - others - kv * air_per_kv(before, t, p)
        if abs(miss) <= DRAWN_WITHIN * high_f or high - low <= DRAWN_WITHIN * most:
            break
        if miss > 0.0:
            high, high_f = root, miss
            low_f *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            low, low_f = root, miss
            high_f *= 0.5 if side == -1 else 1.0
            side = -1
    soft = math.sqrt((supply - p) / (supply - p + SOFT))
    return max(shared * air_per_kv(supply, t, supply - root * root) - others, 0.0) * soft


@lean_kernel
def shared_flow(
    v: int, first: int, end: int, valves: Reals, through: Reals, p: float, header: Reals, others: Reals
) -> float:
    """kg/s through an open valve of a circuit whose supply is shared; all its open valves on it count."""
    h = int(valves[v, f.V_HEADER])
    kv = lift = 0.0
    for w in range(first, end):
        if valves[w, f.V_HEADER] == h and through[w] > 0.0:
            kv += through[w]
            lift += through[w] * valves[w, f.V_P]
    shared, t = header[h, f.H_KV], valves[v, f.V_T]
    if header[h, f.H_KIND] == f.WATER:
        total = shared_water(kv, shared, lift / kv, p, others[h])
    else:
        total = shared_air(kv, shared, lift / kv, t, p, others[h])
    return float(total * through[v] / kv)
