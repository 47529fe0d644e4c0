"""Where a plan lets a person step on by hand."""

from __future__ import annotations

from steadfall.plan.model import Plan


def buttons_of(plan: Plan, circuit: str, stage: str) -> tuple[str, ...]:
    """The buttons by which a stage of a circuit may be left before its condition holds."""
    found = (one.button for one in plan.steps_on if circuit in one.circuits and stage in one.stages)
    return tuple(dict.fromkeys(found))
