"""What a valve lets in, alone or behind a resistance that it shares: water by its Kv, air by expansion too.

A Kv is the flow of cold water (1000 kg/m3) at 1 bar, here in m3/s. In series 1/Kv^2 = sum of 1/Kv_i^2; Kv
side by side add up. Behind a shared Kv_s, from which others draw Q, W comes through Kv where

* water: dp = (Q + W)^2/Kv_s^2 + W^2/Kv^2 (IEC 60534-2-1, in volumes of cold water);
* air: Kv_s passes Q + W from the supply to the pressure before the valve, and Kv passes W from there on, each
  by IEC 60534-2-1: W = Kv Y sqrt(10 x p1 rho1) in SI, Y = 1 - x/(3 x_T), x = dp/p1, at most x_T.

Nothing shared is Kv_s without bound, and one law serves both. Check valves: nothing flows backwards.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant.law.properties import R_A

COLD_WATER = 1000.0  # kg/m3, to which a Kv refers (IEC 60534-1)
HEADS = 200.0  # m2/s2: a section A and a Kv of m3/s at 1 bar make 200 (A/Kv)^2 heads, 2 bar over COLD_WATER
IN_SOFT = 500.0  # Pa below which the square-root laws are made straight, so that their slope stays finite
# pressure drop ratio at which a valve chokes on air (IEC 60534-2-1: typical globe valves 0.6 .. 0.75)
X_T = 0.70
DRAWN_TRIALS = 60
DRAWN_WITHIN = 1e-9  # of what could come, and of the root of the pressure drop
UNSHARED = math.inf  # Kv of what a valve shares with nobody


@lean_kernel
def velocity_heads(kv: float, area: float) -> float:
    """Velocity heads in a section (m2) that resist as this Kv does (m3/s at 1 bar)."""
    ratio = area / kv
    return HEADS * ratio * ratio


@lean_kernel
def soft_root(drop: float) -> float:
    """The factor that makes a square-root law straight near zero."""
    return math.sqrt(drop / (drop + IN_SOFT))


@lean_kernel
def water_through(
    kv: float, before: float, after: float, shared: float = UNSHARED, others: float = 0.0
) -> float:
    """kg/s of water from a supply through `shared`, from which others draw too (kg/s), and then through Kv.

    >>> round(3.6 * water_through(0.45 / 3600, 5e5, 1e5), 3)  # Kv 0.45 m3/h under 4 bar: 0.9 m3/h
    0.899
    """
    per_shared, per_own = 1.0 / (shared * shared), 1.0 / (kv * kv)
    drawn = others / COLD_WATER
    drop = (before - after) - 1e5 * per_shared * drawn * drawn  # Pa that others leave
    if drop <= 0.0:
        return 0.0
    half = per_shared * drawn
    bars = drop * 1e-5
    volume = bars / (half + math.sqrt(half * half + (per_shared + per_own) * bars))
    return COLD_WATER * volume * soft_root(drop)


@lean_kernel
def air_per_kv(before: float, temperature: float, after: float) -> float:
    """kg/s of air through a Kv of 1 m3/s at 1 bar, without the straight part near zero.

    IEC 60534-2-1: W[kg/h] = 3.16 Kv[m3/h] Y sqrt(x p1[kPa] rho1), ratio of heat capacities 1.4 (F_gamma = 1).
    """
    drop = before - after
    if drop <= 0.0:
        return 0.0
    x = min(drop / before, X_T)
    return (1.0 - x / (3.0 * X_T)) * before * math.sqrt(1e-2 * x / (R_A * temperature))


@lean_kernel
def air_through(
    kv: float,
    before: float,
    temperature: float,
    after: float,
    shared: float = UNSHARED,
    others: float = 0.0,
) -> float:
    """kg/s of air from a supply through `shared`, from which others draw too (kg/s), and then through Kv."""
    if before <= after:
        return 0.0
    if shared == UNSHARED:
        flow = kv * air_per_kv(before, temperature, after)
    else:
        flow = air_behind(kv, before, temperature, after, shared, others)
    return flow * soft_root(before - after)


@lean_kernel
def air_behind(kv: float, supply: float, t: float, p: float, shared: float, others: float) -> float:
    """kg/s of air through a Kv behind a shared one: Illinois rule in the root of the drop before the
    valve.
    """
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
    return max(shared * air_per_kv(supply, t, supply - root * root) - others, 0.0)
