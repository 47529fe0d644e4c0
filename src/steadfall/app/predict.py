"""The main job: from a plan to a predicted cool-down, with bands where they are asked for."""

from __future__ import annotations

from pathlib import Path

from attrs import evolve, frozen

from steadfall.app.given.controller import Controller
from steadfall.app.given.crew import crew
from steadfall.app.given.document import json_text
from steadfall.app.given.files import drafted
from steadfall.compiled import cold
from steadfall.extras import opened
from steadfall.plan.model import Plan
from steadfall.predict.grids import predict_resolved
from steadfall.predict.outcome.result import Note, Prediction, Settings
from steadfall.predict.outcome.spread import Survey
from steadfall.predict.run import coarse, fine
from steadfall.predict.run import predict as predict_alone
from steadfall.predict.survey.surveyed import surveyed
from steadfall.progress import SILENT, Progress
from steadfall.report.page.prediction import write_report
from steadfall.source import AskError
from steadfall.trace.table import write_csv, write_events
from steadfall.words import _

__all__ = ["FEWEST", "MOST", "NEEDED", "NOT_WITH_CODE", "How", "Prediction", "cold"]
__all__ += ["predict", "survey", "write_papers"]
NEEDED = ("jinja2", "pandas", "pyarrow")  # for the papers
NOT_WITH_CODE = "--band runs the plan's own logic; it does not go with --code"
NO_PLANT = _(
    "the plan has no plant, so there is nothing whose bands could be told; predict it without --band"
)
NO_RUNS = "--cluster does many runs; one prediction is made here: add --band"
NOT_COARSE = "--coarse takes its own cells; it does not go with --cells"
FEWEST, MOST = 5, 320  # cells of a circuit
OUTSIDE_CELLS = f"a circuit is cut into {FEWEST} to {MOST} cells"
RESULT = "prediction.json"


@frozen
class How:
    """How to predict: the scenario, how finely, by which seed scans vary, in how many runs for the bands.

    Raises AskError where these do not go together.
    """

    scenario: str | None = None  # None: the strongest call until every goal is reached
    coarse: bool = False
    jitter: int | None = None
    band: int | None = None
    cells: int | None = None  # of each circuit; None: as many as the setting has
    cluster: str = ""  # the address of the Dask cluster that does the runs of the bands

    def __attrs_post_init__(self) -> None:
        if self.cluster and self.band is None:
            raise AskError(NO_RUNS)
        if self.cells is not None and self.coarse:
            raise AskError(NOT_COARSE)
        if self.cells is not None and not FEWEST <= self.cells <= MOST:
            raise AskError(f"{OUTSIDE_CELLS}, not {self.cells}")

    def settings(self, plan: Plan) -> Settings:
        """The setting of this plan."""
        return coarse(plan, self.jitter) if self.coarse else fine(plan, self.jitter, self.cells)


def predict(
    plan: Plan, how: How | None = None, code: Controller | None = None, progress: Progress = SILENT
) -> Prediction:
    """Predict the cool-down, but for the coarse setting with finer grids beside it.

    Raises PlanError when there is no such scenario, Cancelled when it was stopped.
    """
    how = how or How()
    if code and how.band is not None:
        raise AskError(NOT_WITH_CODE)
    if how.band is not None and not plan.has_plant:
        raise AskError(NO_PLANT)
    run = predict_alone if how.coarse or not plan.has_plant else predict_resolved
    result = run(plan, how.scenario, how.settings(plan), progress, code.network if code else None)
    if code:
        said = Note("", f"the logic is that of {Path(code.text.file).name}, not the plan's own")
        result = evolve(result, code=code.text, notes=(said, *result.notes))
    if how.band is not None:
        result = survey(result, how.band, workers=None, cluster=how.cluster, progress=progress)
    return result


def survey(
    result: Prediction,
    runs: int = 200,
    *,
    seed: int = 1,
    workers: int | None = 1,
    cluster: str = "",
    progress: Progress = SILENT,
) -> Prediction:
    """The prediction with bands and odds of so many runs within the plan's tolerances and the model's
    uncertainty.

    With more than one worker processes are spawned: a script then needs `if __name__ == "__main__":`; or a
    Dask cluster at an address does the runs. Raises OutsideError when scipy is not installed, or the cluster
    does not answer.
    """
    with crew(workers, cluster) as many:
        return surveyed(result, Survey(runs, seed, many), progress)


def write_papers(result: Prediction, folder: Path, *, dated: str = "") -> list[Path]:
    """Write report, result and traces into a folder and give their paths, the report first.

    The report bears the date that is given, else room for one.

    Raises OutsideError when the folder cannot be written or an optional package is missing.
    """
    with drafted(folder) as draft:
        found = draft / RESULT
        found.write_text(json_text(result.as_json()), encoding="utf-8")
        table = write_csv(result.trace, draft / "trace.csv")
        events = write_events(result.trace, draft / "events.csv")
        parquet = opened("steadfall.trace.frame").write_parquet(result.trace, draft / "trace.parquet")
        written = [write_report(result, draft, dated=dated), found, table, events, parquet]
    return [folder / path.name for path in written]
