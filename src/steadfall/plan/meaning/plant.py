"""What the rooms of the plant see of a plan.

Rule of this file: the one place that knows what a plan of the logic alone is to them: a plan without
circuits, bodies and supplies, with which nothing happens. So no room of the plant asks whether there is one.
"""

from __future__ import annotations

from attrs import evolve

from steadfall.constants import ZERO_CELSIUS
from steadfall.plan.model import Plan


def plant_side(plan: Plan) -> Plan:
    """The plan itself; nothing of it where it has no plant."""
    if plan.has_plant:
        return plan
    return evolve(
        plan,
        ambient=ZERO_CELSIUS,
        supplies={},
        bodies={},
        gas_streams={},
        links=(),
        circuit_types={},
        circuits={},
        main_valves={},
        pumps={},
        limits=(),
        goals=(),
        tolerances=(),
    )
