"""A cool-down while a number is turned: soon, and thrown away when the number rests."""

from __future__ import annotations

from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import brisk, predict
from steadfall.progress import SILENT, Progress


def moved(plan: Plan, scenario: str | None = None, progress: Progress = SILENT) -> Prediction:
    """Predict the cool-down on the setting for a slider that moves; raises PlanError when there is no such
    scenario, Cancelled when it was stopped.
    """
    return predict(plan, scenario, brisk(plan), progress)
