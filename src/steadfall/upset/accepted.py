"""What a plan accepts must be a single failure of it.

Rule of this file: nothing here runs a plant, so that `check` starts fast.
"""

from __future__ import annotations

from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.source import PlanError
from steadfall.upset.failures import failures


def names_are_failures(plan: Plan) -> None:
    """Raises PlanError where the plan accepts what is no single failure of it."""
    known, problems = [one.name for one in failures(plan)], Problems()
    for one in plan.accepted:
        if one.failure not in known:
            problems.unknown(one.at.of("failure"), "accepted", one.failure, "single failure", known)
    if problems:
        raise PlanError(problems.found(), plan.text)
