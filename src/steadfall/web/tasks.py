"""Long work of the page, as it is done in a process beside it: a text in, a paper and its JSON out.

Rule of this file: it is done in another process, so that what is kept here is that process's own.
"""

from __future__ import annotations

import tempfile
from collections import OrderedDict
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given.document import dense_text, json_text
from steadfall.app.plan import CoolingPlan, read_typed
from steadfall.extras import opened
from steadfall.progress import Progress
from steadfall.quantities import METRIC, US
from steadfall.web.shown import Code, Shown
from steadfall.words import _

COLD = _(
    "getting ready: the first prediction of this version compiles its kernels, once, for a minute or two"
)
KEPT = 8  # predictions
REHEARSED_S = 60.0  # of the strongest call, where no case is chosen
UNITS = {one.name: one for one in (METRIC, US)}


@frozen
class Run:
    """What is predicted: a text, what its file is called, a scenario, coarse or fine, in how many runs for
    bands and odds (0: none), while a slider moves or not.
    """

    text: str
    name: str
    scenario: str | None
    quick: bool
    band: int = 0
    moving: bool = False


_RUNS: OrderedDict[Run, Any] = OrderedDict()


@frozen
class Look:
    """How a run is shown: with another, which is a ghost behind it or stands aside; in metric or US units."""

    other: Run | None = None
    aside: bool = False
    units: str = "metric"


def drawn(run: Run, look: Look, progress: Progress) -> Shown:
    """The cool-down as charts."""
    units = UNITS[look.units]
    result = evolve(_predicted(run, progress), units=units)
    former = None if look.other is None else evolve(_predicted(look.other, progress), units=units)
    draw = opened("steadfall.report.page.charts").charts
    made = draw(result, former, aside=look.aside, moving=run.moving)
    charts = dense_text(made)
    paper = "" if run.quick else opened("steadfall.report.page.prediction").page(result)
    said = opened("steadfall.report.words.verdict").verdict(result)
    shown = Shown(paper, json_text(result.as_json()), result.plan.digest, charts, said, result.good)
    return evolve(shown, table=opened("steadfall.report.words.strains").through(result))


def _predicted(run: Run, progress: Progress) -> Any:
    """A prediction, or the one that was made before."""
    if run not in _RUNS:
        plan: CoolingPlan = read_typed(run.text, run.name)
        if opened("steadfall.app.predict").cold():
            progress.tell(0.0, None, COLD)
        if run.moving:
            _RUNS[run] = opened("steadfall.app.page.moving").moved(plan.plan, run.scenario, progress)
        else:
            band = run.band or None
            _RUNS[run] = plan.predict(run.scenario, quick=run.quick, band=band, progress=progress)
        while len(_RUNS) > KEPT:
            _RUNS.popitem(last=False)
    _RUNS.move_to_end(run)
    return _RUNS[run]


def shown_of(result: Any, digest: str, paper: str = "") -> Shown:
    """What has a paper and a verdict."""
    made = paper or result.page()
    return Shown(made, json_text(result.as_json()), digest, good=result.good)


def proved(text: str, name: str, faults: tuple[str, ...], progress: Progress) -> Shown:
    """Every requirement, under some faults, with what was found before."""
    plan = read_typed(text, name)
    result = plan.prove(faults=faults, progress=progress)
    found = opened("steadfall.app.page.replay").refuted(result)
    refuted = tuple(evolve(one, fault=one.fault or "".join(faults)) for one in found)  # one fault at most
    return evolve(shown_of(result, plan.plan.digest), refuted=refuted)


def rehearsed(text: str, name: str, case: str, out: Path, progress: Progress) -> Shown:
    """A session of the bench with a controller in this process: a case, or a minute of the strongest call.

    Its evidence goes to `out`.
    """
    plan = read_typed(text, name).plan
    bench = opened("steadfall.app.bench")
    how = bench.How(lasting_s=REHEARSED_S, out=out)
    if case:
        how = bench.How(case=opened("steadfall.app.cases").named(plan, case), out=out)
    result = bench.rehearse(plan, how, progress=progress)
    return shown_of(result, plan.digest)


def emitted(text: str, name: str, progress: Progress) -> Shown:
    """The program for the controller and its lists."""
    plan = read_typed(text, name)
    result = plan.emit(progress=progress)
    code = Code(result.text, result.origins, result.files)
    return Shown("", json_text(result.as_json()), plan.plan.digest, code=code)


def compared(text: str, name: str, file: str, code: str, progress: Progress) -> Shown:
    """What a controller's text does otherwise than the plan, and what that does to the plant where there is
    one. It is read as a text, and never run on a controller.
    """
    plan = read_typed(text, name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / Path(file).name
        path.write_text(code, encoding="utf-8")
        result = plan.compare(plan.bring(path), predicted=plan.plan.has_plant, progress=progress)
    return shown_of(result, plan.plan.digest)


def revised(text: str, name: str, other: str, called: str, progress: Progress) -> Shown:
    """What another plan does otherwise, to the valves, and to the plant where both have one."""
    plan, second = read_typed(text, name), read_typed(other, called)
    both = plan.plan.has_plant and second.plan.has_plant
    result = plan.compare(second, predicted=both, progress=progress)
    return shown_of(result, plan.plan.digest)
