"""Runs a plan on the grid that was asked for and, beside it, on finer ones.

One has four times the cells, one a quarter of the step: what a figure owes to either is seen apart, at half
the work of one grid that is finer in both. Each runs in a thread of its own, since the compiled loop lets
others run meanwhile.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, wait

from attrs import evolve

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.predict.outcome.judge import judged
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import fine, predict
from steadfall.progress import SILENT, Progress
from steadfall.workers import undisturbed

FINER = 4
TELL_EVERY = 0.2  # s, while only finer grids are still at work


def finer(settings: Settings) -> tuple[Settings, Settings]:
    """The grids beside a setting."""
    return (
        evolve(settings, cells=FINER * settings.cells),
        evolve(settings, steps_per_scan=FINER * settings.steps_per_scan),
    )


class Beside(Progress):
    """Remembers how far a run beside is, and ends it when nobody waits for it any more."""

    def __init__(self) -> None:
        self.share = 0.0
        self.over = threading.Event()

    def tell(self, done: float, of: float | None, words: str) -> None:  # noqa: ARG002  (nobody reads them)
        """Remember it."""
        self.share = done / of if of else 0.0

    def cancelled(self) -> bool:
        """Whether nobody waits."""
        return self.over.is_set()


class Together(Progress):
    """Tells how far all of them are, in the words of the first."""

    def __init__(self, progress: Progress, beside: Sequence[Beside]) -> None:
        self.progress, self.beside = progress, beside

    def tell(self, done: float, of: float | None, words: str) -> None:
        """Tell the mean of all."""
        own = done / of if of else 0.0
        shares = [own, *(one.share for one in self.beside)]
        self.progress.tell(sum(shares) / len(shares), 1.0, words)

    def cancelled(self) -> bool:
        """Whether the first shall not go on."""
        return self.progress.cancelled()


def predict_resolved(
    plan: Plan,
    scenario: str | None = None,
    settings: Settings | None = None,
    progress: Progress = SILENT,
    network: Network | None = None,
) -> Prediction:
    """Predict as `run.predict` does, with the figures of finer grids beside, and judge by all of them."""
    settings = settings or fine(plan)
    others = finer(settings)
    beside = [Beside() for _ in others]
    together = Together(progress, beside)
    with ThreadPoolExecutor(len(others)) as pool:
        try:
            with undisturbed():  # Ctrl-C shall find the thread that listens
                runs = [
                    pool.submit(predict, plan, scenario, one, told, network)
                    for one, told in zip(others, beside, strict=True)
                ]
            result = predict(plan, scenario, settings, together, network)
            while wait(runs, TELL_EVERY).not_done:
                together.step(1.0, 1.0, "cooling, on finer grids")
            return judged(result, [run.result() for run in runs])
        finally:
            for one in beside:
                one.over.set()
