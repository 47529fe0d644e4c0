"""Several valves on one supply: the pressure before them falls as more is drawn.

All valves of a supply share a resistance Kv_s (its `kv`, and the friction of its line). The pressure behind it is where
what comes through the resistance is what the open valves let on, at the circuits' last pressures. Each valve then gets
the Kv that carries its part between the supply's full pressure and its circuit. For water, one open valve so has
1/Kv^2 = 1/Kv_s^2 + 1/Kv_v^2 at any pressure, and several lag one step behind each other's circuits; for air the
expansion in both resistances counts, and the Kv lags one step behind the circuit's pressure.
"""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.properties import R_A
from steadfall.plant.state import Ints, Reals
from steadfall.plant.supply import X_T

LEAST_DROP = 1.0  # Pa from supply to circuit; with less there is nothing to share
DRAWN_TRIALS = 60
DRAWN_WITHIN = 1e-10  # of what could come, and of the root of the pressure drop


@lean_kernel
def flow_per_kv(air: bool, before: float, temperature: float, after: float) -> float:
    """kg/s through a Kv of 1 m3/s at 1 bar, by IEC 60534-2-1, without the straight part near zero."""
    drop = before - after
    if drop <= 0.0:
        return 0.0
    if not air:
        return 1000.0 * math.sqrt(drop * 1e-5)
    x = min(drop / before, X_T)
    return (1.0 - x / (3.0 * X_T)) * before * math.sqrt(1e-2 * x / (R_A * temperature))


@lean_kernel
def drawn(row: Reals, mine: Ints, through: Reals, behind: Reals, before: float) -> float:
    """kg/s through all valves of a header at this pressure before them."""
    total, air = 0.0, row[f.H_KIND] == f.AIR
    for v in mine:
        if through[v] > 0.0:
            total += through[v] * flow_per_kv(air, before, row[f.H_T], behind[v])
    return total


@lean_kernel
def header_pressure(row: Reals, mine: Ints, through: Reals, behind: Reals, lowest: float) -> float:
    """The pressure before the valves, by the Illinois rule in the root of the drop, which makes water nearly linear."""
    supply, kv, t, air = row[f.H_P], row[f.H_KV], row[f.H_T], row[f.H_KIND] == f.AIR
    low, high = 0.0, math.sqrt(supply - lowest)
    low_f, high_f = -drawn(row, mine, through, behind, supply), kv * flow_per_kv(air, supply, t, lowest)
    most, side = high, 0
    for _ in range(DRAWN_TRIALS):
        middle = (low * high_f - high * low_f) / (high_f - low_f)
        p = supply - middle * middle
        miss = kv * flow_per_kv(air, supply, t, p) - drawn(row, mine, through, behind, p)
        if abs(miss) <= DRAWN_WITHIN * high_f:
            return float(p)
        if miss > 0.0:
            high, high_f = middle, miss
            low_f *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            low, low_f = middle, miss
            high_f *= 0.5 if side == -1 else 1.0
            side = -1
        if high - low <= DRAWN_WITHIN * most:
            break
    return float(supply - high * high)


@lean_kernel
def give_shares(row: Reals, mine: Ints, through: Reals, behind: Reals, lowest: float) -> None:
    """Each valve's part of what comes through the shared resistance, as a Kv from the supply to its circuit."""
    supply, t, air = row[f.H_P], row[f.H_T], row[f.H_KIND] == f.AIR
    before = header_pressure(row, mine, through, behind, lowest)
    total = drawn(row, mine, through, behind, before)
    part = row[f.H_KV] * flow_per_kv(air, supply, t, before) / total if total > 0.0 else 0.0
    for v in mine:
        if through[v] > 0.0:
            own = through[v] * flow_per_kv(air, before, t, behind[v])
            through[v] = part * own / flow_per_kv(air, supply, t, behind[v])


@lean_kernel
def share_header(
    row: Reals, mine: Ints, circuits: Ints, valves: Reals, own: Reals, through: Reals, behind: Reals
) -> None:
    """Give every open valve of a header the Kv that is left to it; `own` are the circuits, `behind` is filled here."""
    count, alone, lowest = 0, -1, row[f.H_P]
    for v in mine:
        if through[v] > 0.0:
            count += 1
            alone = v
            p = own[circuits[v], f.P] + row[f.H_P] - valves[v, f.V_P]  # with the static head up to the circuit
            behind[v] = min(p, row[f.H_P] - LEAST_DROP)
            lowest = min(lowest, behind[v])
    if count == 1 and row[f.H_KIND] == f.WATER:
        ratio = through[alone] / row[f.H_KV]
        through[alone] /= math.sqrt(1.0 + ratio * ratio)
    elif count > 0:
        give_shares(row, mine, through, behind, lowest)
