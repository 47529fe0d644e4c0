"""The door from Python and from the command line: a checked plan and all that can be done with it.

Rule of this file: each use is loaded when it is first asked for, so that reading a plan waits for no kernel
and no solver.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import frozen

from steadfall.app.given.times import typed_ms
from steadfall.extras import opened
from steadfall.plan.advise.whole import advice
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.progress import SILENT, Progress
from steadfall.source import Problem

if TYPE_CHECKING:
    from steadfall.app.compare import Compared
    from steadfall.app.dose import Dosed
    from steadfall.app.emit import Emitted
    from steadfall.app.given.controller import Controller
    from steadfall.app.predict import Prediction
    from steadfall.app.prove import Proved
    from steadfall.app.serve import Serving, Where
    from steadfall.app.size import Sized
    from steadfall.app.sketch import Sketched
    from steadfall.app.upset import Upsets
    from steadfall.app.why import Answer


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

    def bring(self, code: str | Path, names: str | Path | None = None) -> Controller:
        """A controller's text to stand in for the plan's own logic; `names` is a file that maps its names.

        Raises PlanError where it does not fit, OutsideError where it cannot be read.
        """
        made: Controller = _use("given.controller").controller(self.plan, Path(code), names and Path(names))
        return made

    def predict(
        self,
        scenario: str | None = None,
        *,
        quick: bool = False,
        jitter: int | None = None,
        band: int | None = None,
        cells: int | None = None,
        cluster: str = "",
        code: Controller | None = None,
        progress: Progress = SILENT,
    ) -> Prediction:
        """Predict the cool-down; `quick` takes the coarse setting without finer grids beside it, `jitter`
        seeds scan times up to the longest, `band` is of how many runs the bands are made, `cells` cuts each
        circuit into so many, `cluster` is the address of the Dask cluster that does the runs of the bands.

        Raises PlanError when there is no such scenario, AskError where the wishes do not go together,
        progress.Cancelled when it was stopped.
        """
        use = _use("predict")
        how = use.How(scenario, quick, jitter, band, cells, cluster)
        made: Prediction = use.predict(self.plan, how, code, progress)
        return made

    def sketch(self, *, stages: bool = False) -> Sketched:
        """Its piping as a picture: supplies, valves at rest, circuits, bodies, sensors at their places; or
        its `stages`: a row a valve, a column a stage, in each cell a strip to scale.
        """
        made: Sketched = _use("sketch").sketch(self.plan, stages=stages)
        return made

    def size(self, scenario: str | None = None, *, progress: Progress = SILENT) -> Sized:
        """Size supplies, lines, valves, outlets, reliefs and drains; what a batch uses is that of a coarse
        prediction of the scenario.

        Raises PlanError when there is no such scenario, OutsideError where `fluids` is not installed.
        """
        made: Sized = _use("size").size(self.plan, scenario, progress)
        return made

    def dose(
        self,
        aim: str = "time",
        *,
        odds: float | None = None,
        tries: int = 1000,
        seed: int = 1,
        workers: int | None = None,
        cluster: str = "",
        progress: Progress = SILENT,
    ) -> Dosed:
        """Find open and shut times of the doses, and times and temperatures of the climbs, that are best for
        "time", "water", "wear" or the "balance" of them, inside every limit; `odds` is the share of the runs
        within the tolerances that must keep the limits.

        It starts processes, or a Dask cluster at an address does the runs: a script needs `if __name__ ==
        "__main__":`. Raises AskError where there is no such aim or nothing to be searched, PlanError for
        what nothing can keep, OutsideError where a library is missing or the cluster does not answer.
        """
        use = _use("dose")
        wish = use.Wish(use.aim_named(aim), tries, seed)
        made: Dosed = use.dose(self.plan, wish, odds, workers=workers, cluster=cluster, progress=progress)
        return made

    def upset(
        self, *only: str, workers: int | None = None, cluster: str = "", progress: Progress = SILENT
    ) -> Upsets:
        """Try every single failure, or those of some things, and say what comes of it and what notices it.

        It starts as many processes as there are processors, or `workers`: a script needs `if __name__ ==
        "__main__":`; or a Dask cluster at an address does the runs. Raises PlanError where there is no such
        thing, AskError where the plan has no plant, OutsideError where the cluster does not answer.
        """
        upset = _use("upset").upset
        made: Upsets = upset(self.plan, only, workers=workers, cluster=cluster, progress=progress)
        return made

    def show_upset(self, row: str, *, quick: bool = False, progress: Progress = SILENT) -> Prediction:
        """The whole run of one row of that table, by its name: `upper.mist stuck open in soaking`.

        Raises PlanError where there is no such row.
        """
        made: Prediction = _use("upset").show(self.plan, row, quick=quick, progress=progress)
        return made

    def prove(
        self,
        *only: str,
        effort: float = 1.0,
        limit: float | None = None,
        faults: tuple[str, ...] = (),
        code: Controller | None = None,
        progress: Progress = SILENT,
        anew: bool = False,
    ) -> Proved:
        """Prove every requirement, or those of some names, circuits or valves.

        `effort`: so many times the usual work for each; `limit`: seconds after which what is not settled is
        left unknown; `anew`: nothing that was found before is used. Raises PlanError where there is no such
        requirement or fault. It starts processes: a script needs `if __name__ == "__main__":`.
        """
        use = _use("prove")
        made: Proved = use.prove(self.plan, use.How(only, effort, limit, tuple(faults), anew), code, progress)
        return made

    def recheck(
        self,
        folder: str | Path,
        code: Controller | None = None,
        *,
        only: tuple[str, ...] = (),
        faults: tuple[str, ...] = (),
    ) -> Proved:
        """Check the proofs stored in a folder again; raises OutsideError where none is of this plan.

        `only`, `faults`: what is asked about, as of `prove`.
        """
        made: Proved = _use("prove").recheck(self.plan, folder, code, only, faults)
        return made

    def why(
        self,
        signal: str,
        at: str | float | None = None,
        *,
        scenario: str | None = None,
        trace: str | Path | None = None,
        only: str | None = None,
        progress: Progress = SILENT,
    ) -> Answer:
        """Why a signal has its value at a moment: `12.34s`, `6 min`, `4:40`, or a number of seconds.

        Raises AskError where there is no such signal or moment.
        """
        use = _use("why")
        at_ms = typed_ms(at) if isinstance(at, str) else None if at is None else round(1000 * at)
        how = use.How(signal, at_ms, scenario, trace and Path(trace), only)
        made: Answer = use.why(self.plan, how, progress)
        return made

    def compare(
        self,
        other: CoolingPlan | Controller,
        *,
        names: str | Path | None = None,
        effort: float = 1.0,
        limit: float | None = None,
        predicted: bool = False,
        progress: Progress = SILENT,
    ) -> Compared:
        """Compare what the controllers of two plans do, or of a plan and a text that was brought to it; and
        where that is asked for, what the difference does to the plant.

        `effort` and `limit` are as in a proof, and it starts a process. Raises PlanError where the two have
        no valve in common.
        """
        second = other.plan if isinstance(other, CoolingPlan) else other
        use = _use("compare")
        how = use.How(int(effort * use.EFFORT), 1, limit, progress)
        made: Compared = use.compare(
            self.plan, second, names=names and Path(names), how=how, predicted=predicted
        )
        return made

    def emit(
        self, proof: str | Path | None = None, progress: Progress = SILENT, extras: tuple[str, ...] = ()
    ) -> Emitted:
        """The program for the controller and its lists, with the verdicts of a proof that was stored.

        `extras`: what the program carries besides for a bench, `recorder` and `heartbeat`.
        """
        use = _use("emit")
        made: Emitted = use.emit(self.plan, proof and Path(proof), progress, use.extras_of(extras))
        return made

    def serve(
        self, code: Controller | None = None, where: Where | None = None, keep: Path | None = None
    ) -> Serving:
        """Begin to serve the logic, or a text that was brought, as a soft controller; `stop` ends it.

        `keep`: a file for what it retains. Raises OutsideError where a port is taken or a library is missing.
        """
        made: Serving = _use("serve").serve(self.plan, code, where, keep)
        return made


def _use(name: str) -> Any:
    return opened(f"steadfall.app.{name}")


def read(path: str | Path) -> CoolingPlan:
    """Read and check a plan file.

    Raises PlanError, which lists every problem with its place, what was read and what was expected.
    """
    return CoolingPlan(read_file(path))


def read_typed(text: str, name: str) -> CoolingPlan:
    """The same of a text that is not saved; `name` is the file that it will be."""
    return CoolingPlan(read_text(text, name))


def survey(
    result: Prediction,
    runs: int = 200,
    *,
    seed: int = 1,
    workers: int = 1,
    cluster: str = "",
    progress: Progress = SILENT,
) -> Prediction:
    """The prediction with bands and odds of so many runs (steadfall.app.predict)."""
    survey = _use("predict").survey
    made: Prediction = survey(result, runs, seed=seed, workers=workers, cluster=cluster, progress=progress)
    return made
