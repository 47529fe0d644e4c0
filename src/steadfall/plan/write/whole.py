"""A plan back to text, in one settled form.

Rule of this file: read(write(plan)) == plan. Comments, order of sections and the choice of units are not
kept; what the plan means is.
"""

from __future__ import annotations

from steadfall.plan.keys.table import TOP
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Plan
from steadfall.plan.write.says import Told
from steadfall.plan.write.table import lines


def write(plan: Plan) -> str:
    """The text of a plan."""
    dimensions = {name: one.dimension for name, one in quantities(plan).items()}
    return "\n".join(lines(plan, TOP, Told(plan, dimensions))) + "\n"
