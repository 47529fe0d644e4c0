"""A plan on the fine grids, each run by whoever of the crew is free.

Rule of this file: what waits for the runs does no work itself, so that Ctrl-C is heard at once.
"""

from __future__ import annotations

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.predict.grids import finer
from steadfall.predict.outcome.judge import judged
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import fine, predict
from steadfall.progress import Progress
from steadfall.workers import Crew

WORDS = "runs on fine grids, to confirm what was found"


@frozen(eq=False)
class _Task:
    plan: Plan
    place: int
    settings: Settings


def _work(task: _Task) -> tuple[int, Prediction]:
    return task.place, predict(task.plan, None, task.settings)


def judge(plan: Plan, crew: Crew, progress: Progress) -> Prediction:
    """The prediction on the fine grid, judged by finer ones beside it, as `predict` has it."""
    settings = fine(plan)
    grids = settings, *finer(settings)
    tasks = [_Task(plan, place, one) for place, one in enumerate(grids)]
    found: dict[int, Prediction] = {}
    progress.step(0, len(grids), WORDS)
    for place, result in crew.each(_work, tasks[::-1]):  # the longest first
        found[place] = result
        progress.step(len(found), len(grids), WORDS)
    own, *others = (found[place] for place in range(len(grids)))
    return judged(own, others)
