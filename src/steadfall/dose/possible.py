"""What can be seen of a plan before any run: that there is nothing to search, or nothing to be found."""

from __future__ import annotations

from collections.abc import Sequence

from steadfall.dose.forbidden import GOAL, forbidden
from steadfall.dose.variable import Variable
from steadfall.plan.model import Dose, Plan
from steadfall.plan.model.setting import settings_of
from steadfall.plan.problems import Problems
from steadfall.source import AskError, PlanError

NO_PLANT = "the plan is of the logic alone: without a plant no doses are better than others"
NO_GOAL = "the plan has no goal, so no doses are better than others; give one under limits, such as {example}"
NO_DOSE = "no stage of the plan doses a valve, so there are no doses to be found"
ALL_SET = "every number of its doses and climbs is a setting of the panel, which is the operator's"
NO_WIDTH = "no number of its doses and climbs has a second value within its bounds"


def possible(plan: Plan, found: Sequence[Variable]) -> None:
    """Raises AskError where there is nothing to be searched, PlanError for what nothing can keep."""
    if not plan.has_plant:
        raise AskError(NO_PLANT)
    if not plan.goals:
        raise AskError(NO_GOAL.format(example=GOAL))
    doses = _doses(plan)
    if not doses:
        raise AskError(NO_DOSE)
    if not found:
        raise AskError(ALL_SET if all(settings_of(one.open_ms) for one in doses) else NO_WIDTH)
    problems = Problems()
    forbidden(plan, problems)
    if problems:
        raise PlanError(problems.found(), plan.text)


def _doses(plan: Plan) -> list[Dose]:
    used = {plan.circuits[name].type for name in plan.circuits}
    stages = [stage for kind in used for stage in plan.circuit_types[kind].stages]
    return [one for stage in stages for one in stage.actions.values() if isinstance(one, Dose)]
