"""Whose the metal round a channel is, so that each kilogram is counted once.

Rule of this file: the wall of a channel in or on a body is part of that body's mass, unless its path says
that it comes on top. A coil's tubes in a gas stream are always their own: a gas stream has no metal.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from steadfall.plan.meaning.way import cooled_share
from steadfall.plan.model import Body, Inner, Plan
from steadfall.plan.model.equipment import Path

EXPONENT: Mapping[str, int] = {
    "slab": 0,
    "cylinder": 1,
    "sphere": 2,
}  # area grows with this power of the radius


def wall_mass(plan: Plan, path: Path) -> float:
    """The mass in kg of the metal round all passes of a channel."""
    inner = path.bore / 2
    ring = math.pi * ((inner + path.wall) ** 2 - inner**2)
    return ring * path.passes * path.length * plan.materials[path.material].density


def walls_in(plan: Plan, body: str) -> tuple[float, ...]:
    """How many kg of each part of a body are the walls of the circuits that cool it."""
    host = plan.bodies[body]
    found = [0.0] * host.parts
    for name, circuit in plan.circuits.items():
        if circuit.host == body and (path := plan.type_of(name).path).wall_in_body:
            mass = wall_mass(plan, path)
            found = [
                kg + mass * share for kg, share in zip(found, cooled_share(plan, name, host), strict=True)
            ]
    return tuple(found)


def shell_shares(inner: Inner) -> tuple[float, ...]:
    """The share of a body's mass in each of its shells, from the surface inwards."""
    n, power = inner.shells, EXPONENT[inner.shape] + 1
    return tuple(((n - k) ** power - (n - k - 1) ** power) / n**power for k in range(n))


def touched_mass(body: Body) -> float:
    """The kg of each part of a body that its circuits touch: all of a lump, the outer shell where it has an
    inner resistance.
    """
    if body.inner is None:
        return body.mass / body.parts
    n = body.inner.shells
    return body.mass / body.parts * float(1.0 - ((n - 1) / n) ** (EXPONENT[body.inner.shape] + 1))
