"""Single failures: what comes of each, what notices it, what acts; and any one of them in full."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given.crew import crew
from steadfall.app.given.document import document, json_text
from steadfall.app.given.files import drafted
from steadfall.compiled import cold
from steadfall.extras import opened
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, fine, predict
from steadfall.progress import SILENT, Progress
from steadfall.quantities import Units
from steadfall.source import NOWHERE, AskError, PlanError
from steadfall.upset.accepted import names_are_failures
from steadfall.upset.alike import stand_ins
from steadfall.upset.failures import Failure, failures
from steadfall.upset.shape import shape
from steadfall.upset.table import Table, names, shown, table
from steadfall.words import _

__all__ = ["NEEDED", "Prediction", "Upsets", "cold", "show", "upset"]
NEEDED = ("jinja2",)  # for the page
NAME, RESULT = "upset.html", "upset.json"
NO_PLANT = _("the plan is of the logic alone: nothing can go wrong with a plant that it does not have")
DRAWN = 3  # of the worst failures, on the page


@frozen(eq=False)
class Upsets:
    """The table of single failures, and its ways out."""

    found: Table

    @property
    def good(self) -> bool:
        """No single failure breaks a limit or a rating, or leaves water, unseen; and all were tried."""
        return self.found.good

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return document(self.found.plan, self.good, shape(self.found))

    def in_units(self, units: Units) -> Upsets:
        """The same, as it is read in other units."""
        return evolve(self, found=evolve(self.found, units=units))

    def page(self, *, dated: str = "", progress: Progress = SILENT) -> str:
        """The page as text, with the curves of the worst failures; raises OutsideError when jinja2 is not
        installed.
        """
        plan = self.found.plan
        worst = [] if self.found.stopped else self.found.worst(DRAWN)
        runs = [shown(plan, row.failure, row.when.words, coarse(plan), progress) for row in worst]
        drawn = [evolve(one, units=self.found.units) for one in runs]
        made: str = opened("steadfall.report.page.upset").upset_page(self.found, drawn, dated=dated)
        return made

    def drawn(self, number: int, progress: Progress = SILENT) -> tuple[Prediction, Prediction]:
        """The whole run of one row, by its number on the page from 1 on, and the one in which nothing fails,
        both on the coarse grid. Raises AskError where there is no such row.
        """
        rows = opened("steadfall.report.words.upset").folded(self.found)
        if not 0 < number <= len(rows):
            raise AskError(_("there is no row {number}").format(number=number))
        plan, row = self.found.plan, rows[number - 1].row
        settings = coarse(plan)
        usual = predict(plan, None, settings, progress)
        return shown(plan, row.failure, row.when.words, settings, progress), usual

    def write(self, folder: str | Path, *, dated: str = "", progress: Progress = SILENT) -> list[Path]:
        """Write the page, with the curves of the worst failures, and the result; give their paths.

        Raises OutsideError when the folder cannot be written or jinja2 is not installed.
        """
        folder, page = Path(folder), self.page(dated=dated, progress=progress)
        with drafted(folder) as draft:
            (draft / NAME).write_text(page, encoding="utf-8", newline="\n")
            (draft / RESULT).write_text(json_text(self.as_json()), encoding="utf-8")
        return [folder / NAME, folder / RESULT]


def upset(
    plan: Plan,
    only: Sequence[str] = (),
    *,
    workers: int | None = None,
    cluster: str = "",
    progress: Progress = SILENT,
) -> Upsets:
    """Try every single failure, or those of some things; after Ctrl-C, what is known by then.

    With more than one worker processes are spawned: a script then needs `if __name__ == "__main__":`; or a
    Dask cluster at an address does the runs. Raises AskError where the plan has no plant, PlanError where
    there is no such thing, OutsideError where the cluster does not answer.
    """
    chosen = _chosen(plan, only)
    names_are_failures(plan)
    with crew(workers, cluster) as many:
        return Upsets(table(plan, chosen, many, progress))


def _chosen(plan: Plan, only: Sequence[str]) -> tuple[Failure, ...]:
    if not plan.has_plant:
        raise AskError(NO_PLANT)
    every, problems = failures(plan), Problems()
    for word in only:
        if not any(word in (one.of, one.name) for one in every):
            known = list(dict.fromkeys(name for one in every for name in (one.of, one.name)))
            _not_tried(plan, word, known, problems)
    if problems:
        raise PlanError(problems.found())
    return tuple(one for one in every if not only or one.of in only or one.name in only)


def _not_tried(plan: Plan, word: str, known: Sequence[str], problems: Problems) -> None:
    """Either another circuit stands for it, or there is no such thing."""
    for first, others in stand_ins(plan).items():
        for other in others:
            instead = first + word.removeprefix(other)
            if word.startswith(other) and instead in known:
                read = f"'{word}' is not tried by itself, as {first} stands for {other}"
                problems.add(NOWHERE, "stood-for", "--only", read, f"'{instead}'")
                return
    problems.asked("--only", word, "thing that can fail", known)


def show(plan: Plan, name: str, *, quick: bool = False, progress: Progress = SILENT) -> Prediction:
    """The whole run of one row of the table, by its name; `quick` on the coarse grid.

    Raises PlanError where there is no such row.
    """
    settings = coarse(plan) if quick else fine(plan)
    known = names(plan, _chosen(plan, ()), settings, progress)
    if name not in known:
        problems = Problems()
        problems.asked("--show", name, "row of the table", list(known))
        raise PlanError(problems.found())
    failure, words = known[name]
    return shown(plan, failure, words, settings, progress)
