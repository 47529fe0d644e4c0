"""Steadfall from Python: read a plan, predict it. The command line does nothing that this cannot."""

from __future__ import annotations

from pathlib import Path

from attrs import frozen

from steadfall.plan.check.advice import advice
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.result import Prediction, Settings
from steadfall.predict.run import coarse, fine, predict
from steadfall.predict.spread import Survey
from steadfall.predict.survey.surveyed import surveyed
from steadfall.progress import SILENT, Progress
from steadfall.source import Problem


@frozen
class CoolingPlan:
    """A checked plan and what can be done with it; `plan` is the typed data behind it."""

    plan: Plan

    @property
    def advice(self) -> tuple[Problem, ...]:
        """What a careful colleague would point out, though the plan is sound."""
        return tuple(advice(self.plan))

    @property
    def scenarios(self) -> tuple[str, ...]:
        """The scenarios that the plan names."""
        return tuple(self.plan.scenarios)

    def predict(
        self,
        scenario: str | None = None,
        *,
        quick: bool = False,
        cells: int | None = None,
        jitter: int | None = None,
        progress: Progress = SILENT,
    ) -> Prediction:
        """Predict the cool-down; `quick` takes the coarse setting, `jitter` seeds scan times up to the
        longest.

        `progress` is told now and then. Raises PlanError when there is no such scenario.
        """
        settings: Settings = coarse(self.plan, jitter) if quick else fine(self.plan, jitter, cells)
        return predict(self.plan, scenario, settings, progress)


def survey(
    result: Prediction, runs: int = 200, *, seed: int = 1, workers: int = 1, progress: Progress = SILENT
) -> Prediction:
    """The prediction with bands and odds of so many runs within the plan's tolerances and the model's
    uncertainty.

    With more than one worker processes are spawned: a script then needs `if __name__ == "__main__":`. Raises
    OutsideError when scipy is not installed.
    """
    return surveyed(result, Survey(runs, seed, workers), progress)


def read(path: str | Path) -> CoolingPlan:
    """Read and check a plan file.

    Raises PlanError, which lists every problem with its place, what was read and what was expected.
    """
    return CoolingPlan(read_file(path))
