"""What lies between a supply and its valves: the shared resistance, lines with friction and rise.

Friction: Darcy f by Haaland (1983) at Re = 50 000 and the roughness of commercial steel pipe, K = f L/d
velocity heads, as a flow coefficient by the heads that a Kv makes (law/valve.py).
Resistances in series: 1/Kv^2 = sum of 1/Kv_i^2. Water that is lifted by z loses rho g z of pressure; air's
own weight is left out (12 Pa for each metre at 1 bar). A line stands full: the time that water takes to fill
an empty one is left out.
"""

from __future__ import annotations

import math

from steadfall.constants import WATER, G
from steadfall.plan.model import CircuitType, Line, Plan, Supply, Valve
from steadfall.plant import fields as f
from steadfall.plant.grid.path import DESIGN_RE, haaland_1983
from steadfall.plant.law.valve import velocity_heads

ROUGHNESS = 0.05e-3  # m, commercial steel pipe (common practice), as the default of a path
KIND = {"water": f.WATER, "air": f.AIR}


def line_resistance(line: Line | None) -> float:
    """1/Kv^2 of a line's friction, Kv in m3/s at 1 bar; 0 without a line."""
    if line is None:
        return 0.0
    heads = haaland_1983(DESIGN_RE, ROUGHNESS / line.bore) * line.length / line.bore
    area = math.pi * line.bore**2 / 4
    return heads / velocity_heads(1.0, area)


def shared_resistance(supply: Supply) -> float:
    """1/Kv^2 of all that the valves of a supply share."""
    return line_resistance(supply.line) + (0.0 if supply.kv is None else supply.kv**-2)


def static_head(supply: Supply, valve: Valve) -> float:
    """Pa that water loses on its way up to the circuit; none for air."""
    if supply.fluid != "water":
        return 0.0
    return WATER * G * sum(line.elevation for line in (supply.line, valve.line) if line is not None)


def valve_row(plan: Plan, valve: Valve) -> tuple[float, ...]:
    """One row of `Constants.valves`, without its header."""
    stands = float(valve.normally_open)
    if valve.supply is None:
        return (valve.kv, valve.travel, 0.0, plan.ambient, 0.0, -1.0, stands, 0.0, 1.0)
    supply = plan.supplies[valve.supply]
    pressure = supply.pressure - static_head(supply, valve)
    number = float(list(plan.supplies).index(valve.supply))
    own = line_resistance(valve.line)
    return (valve.kv, valve.travel, pressure, supply.temperature, own, number, stands, 0.0, 1.0)


def headers(plan: Plan, valves: list[Valve]) -> tuple[list[tuple[float, ...]], list[list[int]], list[float]]:
    """Rows of `Constants.header` and the valves of each, of the supplies that are shared or behind a main
    valve; each valve's header or -1.
    """
    rows: list[tuple[float, ...]] = []
    mine = []
    header_of = [-1.0] * len(valves)
    behind_mains = {main.supply for main in plan.main_valves.values()}
    for place, (name, supply) in enumerate(plan.supplies.items()):
        shared = shared_resistance(supply)
        drawn = [number for number, valve in enumerate(valves) if valve.supply == name]
        if (shared > 0.0 or name in behind_mains) and drawn:
            for number in drawn:
                header_of[number] = float(len(rows))
            rows.append((1.0 / math.sqrt(shared) if shared > 0.0 else math.inf, float(place)))
            mine.append(drawn)
    return rows, mine, header_of


def supply_notes(plan: Plan) -> list[str]:
    """Air that stands higher than the water it meets in a circuit can hold the water's check valve shut."""
    notes = []
    for name in plan.circuits:
        kind: CircuitType = plan.type_of(name)
        supplies = [plan.supplies[v.supply] for v in kind.valves.values() if v.supply]
        water = [s for s in supplies if s.fluid == "water"]
        air = [s for s in supplies if s.fluid == "air"]
        for w in water:
            notes += [
                f"{name}: {a.name} stands above {w.name}; with both open the air can hold the water back"
                for a in air
                if a.pressure > w.pressure
            ]
    return list(dict.fromkeys(notes))
