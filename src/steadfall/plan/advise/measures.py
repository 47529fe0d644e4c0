"""Advice on measures that do not fit each other: valves and lines, holes and bodies, walls and bodies.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

import math

from steadfall.constants import WATER
from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.meaning.metal import wall_mass
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import CircuitType, Plan, Valve
from steadfall.plan.text.lay_out import time
from steadfall.source import Mark, Problem
from steadfall.units import shown

BAR = 1e5  # Pa, at which a Kv is measured


def _bore_kv(bore: float, passes: int = 1) -> float:
    """The Kv in m3/s of an open bore: 1 bar goes into one velocity head of the water in it."""
    return passes * math.pi / 4.0 * bore**2 * math.sqrt(2.0 * BAR / WATER)


def kv_past_bore(plan: Plan) -> Advice:
    """A valve that would pass more than its line or its channel can: the Kv is a slip, or the valve has no
    say.
    """
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            if valve.supply is None:
                continue
            most, where = min(_ways(plan, kind, valve), key=lambda way: way[0])
            if valve.kv > most:
                read = f"the bore in line {where.line} lets no more than {shown(most, 'kv')} through"
                expected = "a smaller Kv, or a wider bore"
                yield Problem(valve.at.of("kv"), "kv-past-bore", f"{valve.name}.kv", read, expected)


def _ways(plan: Plan, kind: CircuitType, valve: Valve) -> list[tuple[float, Mark]]:
    """What water through a valve has to pass: the Kv of each bore and its place."""
    lines = [line for line in (plan.supplies[valve.supply or ""].line, valve.line) if line is not None]
    own = (_bore_kv(kind.path.bore, kind.path.passes), kind.path.at.of("bore"))
    return [own, *((_bore_kv(line.bore), line.at.of("bore")) for line in lines)]


def holes_past_body(plan: Plan) -> Advice:
    """Holes that lie deeper below the face than their body is thick."""
    for circuit in plan.circuits.values():
        path, host = plan.type_of(circuit.name).path, plan.bodies.get(circuit.host)
        if path.drilled is None or host is None:
            continue
        shape = host.inner
        thick = shape.size * 2.0 if shape else math.inf
        over = path.drilled.depth * path.drilled.spacing * path.passes * path.length
        over *= plan.materials[path.material].density
        read = ""
        if path.drilled.depth > thick:
            read = f"'{host.name}' is {shown(thick, 'length')} thick"
        elif over > host.mass:
            read = f"the metal above the holes alone would have {shown(over, 'mass')}; '{host.name}' has"
            read += f" {shown(host.mass, 'mass')} (line {host.at.of('mass').line})"
        if read:
            yield Problem(
                path.drilled.at.of("depth"), "holes-past-body", "depth", read, "holes within the body"
            )


def wall_past_body(plan: Plan) -> Advice:
    """Channels on top of a body that are heavier than the body itself."""
    for circuit in plan.circuits.values():
        path, host = plan.type_of(circuit.name).path, plan.bodies.get(circuit.host)
        if host is None or path.wall_in_body:
            continue
        wall = wall_mass(plan, path)
        if wall > host.mass:
            read = f"the walls of '{circuit.name}' have {shown(wall, 'mass')}, '{host.name}' has"
            read += f" {shown(host.mass, 'mass')} (line {host.at.of('mass').line})"
            yield Problem(path.at.of("wall"), "wall-past-body", "wall", read, "a lighter wall")


def switch_before_valve(plan: Plan) -> Advice:
    """A limit switch that is asked for sooner than its valve can have moved disagrees at every opening."""
    for one in limit_switches(plan):
        name, travel = one.command.name, one.valve.travel or 0.0
        if one.feedback.within_ms < travel * 1000:
            read = f"'{name}' takes {shown(travel, 'time')} to move, and its switch may lag"
            read += f" {time(one.feedback.within_ms)}: it disagrees at every opening"
            place, expected = one.feedback.at.of("within"), f"more than {shown(travel, 'time')}"
            yield Problem(place, "switch-before-valve", "within", read, expected)


OF_PLANT: tuple[Piece, ...] = (kv_past_bore, holes_past_body, wall_past_body, switch_before_valve)
