"""Sizing: from a plan to what each part is asked for and gives, with what a batch uses."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given.document import document, json_text
from steadfall.app.given.files import drafted
from steadfall.compiled import cold
from steadfall.extras import opened
from steadfall.plan.model import Plan
from steadfall.predict.run import coarse, predict
from steadfall.progress import SILENT, Progress
from steadfall.quantities import Units
from steadfall.size.sizes import Sizes
from steadfall.source import AskError
from steadfall.words import _

__all__ = ["FOR_PAPERS", "NEEDED", "Sized", "cold", "size"]
NEEDED = ("fluids",)
FOR_PAPERS = (*NEEDED, "jinja2")
RESULT = "sizes.json"
NO_PLANT = _("the plan is of the logic alone: it has no supply, line, valve or outlet with a size")


@frozen
class Sized:
    """The sizes of a plan, and their ways out."""

    found: Sizes

    @property
    def good(self) -> bool:
        """Nothing is short."""
        return self.found.good

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return document(self.found.plan, self.good, self.found.as_json())

    def in_units(self, units: Units) -> Sized:
        """The same, as they are read in other units."""
        return evolve(self, found=evolve(self.found, units=units))

    def page(self, *, dated: str = "") -> str:
        """The page as text; raises OutsideError when jinja2 is not installed."""
        made: str = opened("steadfall.report.page.sizes").sizes_page(self.found, dated=dated)
        return made

    def write(self, folder: str | Path, *, dated: str = "") -> list[Path]:
        """Write the page and the result into a folder and give their paths, the page first.

        Raises OutsideError when the folder cannot be written or jinja2 is not installed.
        """
        folder = Path(folder)
        with drafted(folder) as draft:
            page = opened("steadfall.report.page.sizes").write_sizes(self.found, draft, dated=dated)
            (draft / RESULT).write_text(json_text(self.as_json()), encoding="utf-8")
        return [folder / page.name, folder / RESULT]


def size(plan: Plan, scenario: str | None = None, progress: Progress = SILENT) -> Sized:
    """Size a plan; what a batch uses is that of a coarse prediction of the scenario.

    Raises PlanError when there is no such scenario, OutsideError where `fluids` is not installed, Cancelled
    when it was stopped, AskError where the plan has no plant.
    """
    if not plan.has_plant:
        raise AskError(NO_PLANT)
    sizing = opened("steadfall.size.whole")
    return Sized(sizing.size(plan, predict(plan, scenario, coarse(plan), progress)))
