"""What the valves of a circuit let in, each through a check valve, alone on its supply or with others.

All valves of a supply share a resistance Kv_s (its `kv`, and the friction of its line). What the valves of
one circuit let in together follows from its pressure and from what other circuits draw, as they stand at that
moment (law/valve.py). A circuit so feels its own share of the drop within the step and the others' share one
step late, circuit after circuit (Gauss-Seidel), which settles whatever the resistances; other circuits'
pressures in place of their flows were tried, and full circuits then took turns with every step. One valve is
exact. The valves of one circuit share as their Kv, at their mean lift.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.law.properties import C_A, C_L, T0
from steadfall.plant.law.valve import UNSHARED, air_through, water_through
from steadfall.plant.state import Inlets, Ints, Reals

SHUT_PASSES = 1e-3  # of the outlet's Kv, through a valve in it that is shut: its law needs a little


@inlined_kernel
def others_draw(first: Ints, valves: Ints, circuits: Ints, flow: Reals, c: int, others: Reals) -> None:
    """kg/s that the valves of other circuits than c draw from each header."""
    for h in range(others.size):
        others[h] = 0.0
        for k in range(first[h], first[h + 1]):
            if circuits[valves[k]] != c:
                others[h] += flow[valves[k]]


@lean_kernel
def let_in(v: int, inlets: Inlets, p: float) -> float:
    """kg/s through an open valve; where its supply is shared, all open valves of its circuit on it count."""
    valves, through = inlets.valves, inlets.through
    kv, lift, shared, drawn = through[v], inlets.pressure[v], UNSHARED, 0.0
    h = int(valves[v, f.V_HEADER])
    if h >= 0:
        kv = lift = 0.0
        for w in range(inlets.first, inlets.end):
            if valves[w, f.V_HEADER] == h and through[w] > 0.0:
                kv += through[w]
                lift += through[w] * inlets.pressure[w]
        lift /= kv
        shared, drawn = inlets.shared[h], inlets.others[h]
    if inlets.kinds[v] == f.WATER:
        together = water_through(kv, lift, p, shared, drawn)
    else:
        together = air_through(kv, lift, valves[v, f.V_T], p, shared, drawn)
    return float(together * (through[v] / kv))


@lean_kernel
def outlet_through(outlet: float, valve: float, least: float) -> float:
    """The Kv of an outlet and a valve in it, one behind the other."""
    if valve <= 0.0:
        return least
    return max(1.0 / math.sqrt(1.0 / (outlet * outlet) + 1.0 / (valve * valve)), least)


@inlined_kernel
def inflow(inlets: Inlets, p: float, out_kv: float, flux: Reals) -> float:
    """Note water and air into a circuit at inlet pressure p; returns the Kv of its way out, bypasses with
    it.
    """
    kinds, valves, through, flows = inlets.kinds, inlets.valves, inlets.through, inlets.flows
    water = air = water_heat = air_heat = bypass = 0.0
    outlet = out_kv
    for v in range(inlets.first, inlets.end):
        flows[v] = 0.0
        if kinds[v] == f.OUTLET:
            outlet = outlet_through(outlet, through[v], SHUT_PASSES * out_kv)
            continue
        if through[v] <= 0.0:
            continue
        if kinds[v] == f.BYPASS:
            bypass += through[v]
            continue
        flow = let_in(v, inlets, p)
        flows[v] = flow
        above = valves[v, f.V_T] - T0
        if kinds[v] == f.WATER:
            water += flow
            water_heat += flow * C_L * above
        else:
            air += flow
            air_heat += flow * C_A * above
    flux[f.F_WATER] = water
    flux[f.F_AIR] = air
    flux[f.F_HW] = water_heat
    flux[f.F_HA] = air_heat
    return outlet + bypass
