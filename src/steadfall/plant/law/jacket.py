"""Conduction through the metal between a jacket's channel and the heat of its host.

Flat: G = k A/t. Round, with the jacket on the outside of a cylinder of radius r: G = k A/(r ln(r/(r - t))),
which is 2 pi k L/ln(r2/r1) with the covered area A = 2 pi r L (Incropera and DeWitt 6e, table 3.3, from
memory). Heat is taken to flow straight through the metal; between channels that lie apart it spreads, so the
area is that of the whole jacket, its ribs included.
"""

from __future__ import annotations

import math

from steadfall.plan.model.equipment import Jacket


def jacket_conductance(jacket: Jacket, conductivity: float) -> float:
    """W/K from the outside of the channel's own wall to the side of the metal that the heat comes from.

    >>> round(jacket_conductance(Jacket(0.9, 0.025), 45.0))
    1620
    >>> round(jacket_conductance(Jacket(0.9, 0.025, 0.120), 45.0))
    1445
    """
    if jacket.radius is None:
        return conductivity * jacket.area / jacket.thickness
    inside = jacket.radius - jacket.thickness
    return conductivity * jacket.area / (jacket.radius * math.log(jacket.radius / inside))
