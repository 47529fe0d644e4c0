"""The metal round a bore cut into shells: the wall of the cells, and what holds the mouth.

Shells are thin at the bore, where doses are felt, and grow outwards by a constant factor. Between the middles
of round shells the resistance is ln(r2/r1)/(2 pi k L), of flat ones t/(k A).
"""

from __future__ import annotations

import math

import numpy as np

from steadfall.plan.model import Material, Path
from steadfall.plant import fields as f
from steadfall.plant.damage.restraint import Restraint
from steadfall.plant.state import Reals

FIRST = 0.4e-3  # m of the wall's first shell: a dose is felt as deep as sqrt(alpha t), 0.5 mm after 20 ms
FIRST_AT_MOUTH = 0.1e-3  # m, where stress is judged from the first 5 ms on


def edges(depth: float, first: float, count: int) -> Reals:
    """Distances from the bore at which shells end, from 0 to depth; equal ones where `first` is too thick."""
    low, high = 1.0, max(2.0, depth / first)
    if first * count >= depth:
        return np.linspace(0.0, depth, count + 1)
    while high - low > 1e-12 * high:  # sum of first factor^k = depth, which grows with the factor
        middle = 0.5 * (low + high)
        low, high = (middle, high) if first * (middle**count - 1) / (middle - 1) < depth else (low, middle)
    sizes = first * low ** np.arange(count)
    return np.concatenate([[0.0], np.cumsum(sizes)[:-1], [depth]])


def shells(path: Path, material: Material, cells: int) -> tuple[Reals, Reals, float, float]:
    """Per cell: shell capacities (J/K), conductances between centres (W/K), bore to first centre (K/W), last
    centre to the outer face (K/W).
    """
    length = path.passes * path.length / cells
    inner = path.bore / 2
    ends = inner + edges(path.wall, FIRST, f.SHELLS)
    centres = (ends[:-1] + ends[1:]) / 2
    capacity = math.pi * (ends[1:] ** 2 - ends[:-1] ** 2) * length * material.density * material.heat_capacity
    conduct = 2 * math.pi * material.conductivity * length
    between = conduct / np.log(centres[1:] / centres[:-1])
    return (
        capacity,
        between,
        math.log(centres[0] / inner) / conduct,
        math.log(ends[-1] / centres[-1]) / conduct,
    )


def evening(path: Path, material: Material) -> Reals:
    """1/s at which the slowest difference round the bore dies in each shell: a/r^2."""
    ends = path.bore / 2 + edges(path.wall, FIRST, f.SHELLS)
    diffusivity = material.conductivity / (material.density * material.heat_capacity)
    rates: Reals = diffusivity / (0.25 * (ends[:-1] + ends[1:]) ** 2)
    return rates


def mouth(path: Path, material: Material, held: Restraint) -> Reals:
    """A row of `Constants.mouth`: the metal that holds the mouth of a bore, for 1 m2 of it."""
    inner = path.bore / 2
    ends = edges(held.depth, FIRST_AT_MOUTH, f.MOUTH_SHELLS)
    centres = (ends[:-1] + ends[1:]) / 2
    stored, k = material.density * material.heat_capacity, material.conductivity
    if held.flat:
        way, area = np.concatenate([[0.0], centres, [held.depth]]), np.diff(ends)
    else:
        way = inner * np.log1p(np.concatenate([[0.0], centres, [held.depth]]) / inner)
        area = ((inner + ends[1:]) ** 2 - (inner + ends[:-1]) ** 2) / (2.0 * inner)
    resistance = np.diff(way) / k
    out = 1.0 / resistance[-1] if held.in_host else 0.0
    return np.concatenate([[resistance[0], out], stored * area, 1.0 / resistance[1:-1]])


def held_by(path: Path, held: Restraint) -> tuple[float, float]:
    """Shares of the wall's mean and of the host in what holds a cell's bore; the rest is the outer shell's.

    Between wall and host the temperature goes with ln r (flat: with the distance), and its mean over the area
    stands for the metal there.
    """
    inner = path.bore / 2
    if held.depth <= path.wall:
        return 1.0, 0.0
    if held.flat:
        wall = path.wall / held.depth
        return wall, 0.5 * (1.0 - wall)
    r, b = inner + path.wall, inner + held.depth
    wall = (r**2 - inner**2) / (b**2 - inner**2)
    return wall, (1.0 - wall) * (b**2 / (b**2 - r**2) - 0.5 / math.log(b / r))
