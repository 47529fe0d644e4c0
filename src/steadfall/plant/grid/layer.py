"""How much of a body's metal round a bore has shells of its own: as deep as a dose is felt, at least.

Rule of this file: a plan gives the layer `wall` round a hole by judgement. A dose of some seconds reaches
sqrt(alpha t) deep, and metal that is cooled in it has to be there in the cells; so a thin layer is taken as
deep as that, out of the body that it is part of, and heat passes the same metal on its way as before.
"""

from __future__ import annotations

import math

from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Path
from steadfall.plant.damage.restraint import restraint
from steadfall.plant.grid.host import Hosts

FELT_FOR = 5.0  # s: longer than a dose whose shock counts
MOST_OF_DEPTH = 0.5  # of what holds the bore
LEAST_WAY = 0.1  # of the resistance to the host that is left outside the layer


def with_layers(plan: Plan) -> Plan:
    """The plan with every layer that is part of a body as deep as a dose is felt; tubes stay as they are."""
    kinds = dict(plan.circuit_types)
    for name, circuit in plan.circuits.items():
        path = kinds[circuit.type].path
        if circuit.host in plan.bodies and path.wall_in_body:
            kinds[circuit.type] = evolve(kinds[circuit.type], path=_deeper(plan, name, path))
    return evolve(plan, circuit_types=kinds)


def _deeper(plan: Plan, name: str, path: Path) -> Path:
    """Of a path that circuits of different bodies share: the deepest layer that one of them asks for."""
    solid = plan.materials[plan.type_of(name).path.material]
    felt = math.sqrt(solid.conductivity / (solid.density * solid.heat_capacity) * FELT_FOR)
    wall = max(path.wall, min(felt, MOST_OF_DEPTH * restraint(plan, name).depth))
    if path.jacket is None:
        return evolve(path, wall=wall)
    left = max(path.jacket.thickness - (wall - path.wall), 0.0)
    return evolve(path, wall=wall, jacket=evolve(path.jacket, thickness=left))


def beyond_layers(found: Hosts, given: Plan, laid: Plan) -> Hosts:
    """The conductances from the layers as laid to their hosts, of those from the layers as given."""
    conductance = {
        name: 1.0 / _way(given.type_of(name).path, laid.type_of(name).path, given, 1.0 / value)
        for name, value in found.conductance.items()
    }
    return evolve(found, conductance=conductance)


def _way(given: Path, laid: Path, plan: Plan, resistance: float) -> float:
    """K/W from the layer as laid to the host, all passes together, of that from the layer as given."""
    inner, length = given.bore / 2, given.passes * given.length
    thicker = math.log((inner + laid.wall) / (inner + given.wall))
    taken = thicker / (2 * math.pi * plan.materials[given.material].conductivity * length)
    return max(resistance - taken, LEAST_WAY * resistance)
