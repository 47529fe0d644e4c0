"""Long work of the page, as it is done in a process beside it: a text in, a paper and its JSON out."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from steadfall.app.plan import read_typed
from steadfall.extras import opened
from steadfall.progress import Progress

COLD = "getting ready: the first prediction of this version compiles its kernels, once, for a minute or two"


@frozen
class Shown:
    """What a use gave: the page that shows it, its JSON, and of which text it is."""

    paper: str
    twin: dict[str, Any]
    digest: str
    scenarios: tuple[str, ...] = ()


def predicted(text: str, name: str, scenario: str | None, quick: bool, progress: Progress) -> Shown:
    """The cool-down, coarse or fine."""
    plan = read_typed(text, name)
    use = opened("steadfall.app.predict")
    if use.cold():
        progress.tell(0.0, None, COLD)
    result = plan.predict(scenario, quick=quick, progress=progress)
    paper = opened("steadfall.report.page.prediction").page(result)
    return Shown(paper, result.as_json(), plan.plan.digest, plan.scenarios)


def proved(text: str, name: str, progress: Progress) -> Shown:
    """Every requirement, with what was found before."""
    plan = read_typed(text, name)
    result = plan.prove(progress=progress)
    return Shown(result.page(), result.as_json(), plan.plan.digest)
