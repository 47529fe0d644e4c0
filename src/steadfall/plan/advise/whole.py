"""All the advice there is.

Rule of this folder: advice never fails a plan. Each function is one piece of trade experience (common
practice), and names the plan's line that it is about; what needs a prediction is no advice but a note of
that prediction.
"""

from __future__ import annotations

from steadfall.plan.advise import (
    climbs,
    counts,
    doses,
    feeders,
    goals,
    guards,
    measures,
    outlast,
    pressed,
    shown,
    springs,
    unused,
    water,
)
from steadfall.plan.advise.given import Piece
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.model import Plan
from steadfall.source import Problem

OF_PLANT: tuple[Piece, ...] = (
    *water.OF_PLANT,
    *guards.OF_PLANT,
    *climbs.OF_PLANT,
    *measures.OF_PLANT,
    *goals.OF_PLANT,
    *feeders.OF_PLANT,
)
ADVICE: tuple[Piece, ...] = (
    *OF_PLANT,
    *water.PIECES,
    *doses.PIECES,
    *outlast.PIECES,
    *guards.PIECES,
    *springs.PIECES,
    *feeders.PIECES,
    *shown.PIECES,
    *climbs.PIECES,
    *counts.PIECES,
    *pressed.PIECES,
    *unused.PIECES,
)


def advice(plan: Plan) -> tuple[Problem, ...]:
    """All the advice there is on a plan, in line order."""
    side = plant_side(plan)
    return tuple(
        sorted({problem for piece in ADVICE for problem in piece(side if piece in OF_PLANT else plan)})
    )
