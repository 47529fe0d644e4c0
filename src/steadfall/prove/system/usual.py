"""How the inputs of a plan stand when nothing happens: what a run keeps to where it need not do otherwise.

Rule of this file: a switch as the plan says is normal (calls are off), what measures a body at its start
temperature, any other measured value at its normal one, within the ends of its sensor.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.build.readings import as_handed
from steadfall.logic.nodes import Value
from steadfall.plan.model import Input, Plan


def usual(plan: Plan) -> Mapping[str, Value]:
    """The ordinary value of every input, as the controller sees it."""
    return {name: _ordinary(plan, item) for name, item in plan.inputs.items()}


def _ordinary(plan: Plan, item: Input) -> Value:
    if item.is_digital:
        return item.normal >= 1.0
    body = plan.bodies.get(item.measures or "")
    value = item.normal if body is None else body.start
    return float(as_handed(item, min(max(value, item.low), item.high)))
