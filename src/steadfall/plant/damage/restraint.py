"""What holds a cooled bore back: the metal round it, whose mean the bore cannot follow.

The surface of a bore that is colder than the mean of a free body by dT is stretched by E alpha dT/(1 - nu):
exactly so along and round the bore of a long thick cylinder, for any temperature over its radius (Timoshenko
and Goodier, Theory of Elasticity, 1951, article 135; from memory), and in a plate that is kept from bending
(article 133).

* A tube of its own, in gas or on top of a body's mass, is held by its own wall alone.
* A bore in a body is held by the thick cylinder of metal that belongs to it, out to half way to the next
  bore: the area between the holes, or the body's mass over the length of all its bores.
* A channel in a jacket is held by its wall and the metal under it; the shell keeps both from bending.
"""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.plan.meaning.metal import touched_mass
from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Path


@frozen
class Restraint:
    """The metal from a bore's surface to `depth`: round or flat, with the host right behind it or not."""

    depth: float
    flat: bool
    in_host: bool
    said: str


def restraint(plan: Plan, circuit: str) -> Restraint:
    """What holds the bore of a circuit back."""
    path, host = plan.type_of(circuit).path, plan.circuits[circuit].host
    if host not in plan.bodies or not path.wall_in_body:
        return Restraint(path.wall, False, False, "the tube's own wall")
    if path.jacket is not None:
        depth = path.wall + path.jacket.thickness
        return Restraint(depth, True, True, f"the wall and the metal of {host} under it, kept from bending")
    depth = max(outer_radius(plan, path, host) - path.bore / 2, path.wall)
    return Restraint(depth, False, True, f"the metal of {host} round the bore")


def outer_radius(plan: Plan, path: Path, host: str) -> float:
    """Radius in m of the cylinder of metal that belongs to each bore in a body.

    Holes w apart at the depth z below the face, taken to lie half way through: pi b^2 = 2 w z.
    """
    if path.drilled is not None:
        return math.sqrt(2.0 * path.drilled.spacing * path.drilled.depth / math.pi)
    paths = [plan.type_of(name).path for name, circuit in plan.circuits.items() if circuit.host == host]
    length = sum(one.passes * one.length for one in paths)
    body = plan.bodies[host]
    metal = body.parts * touched_mass(body) / plan.materials[path.material].density / length
    return math.sqrt(path.bore**2 / 4 + metal / math.pi)
