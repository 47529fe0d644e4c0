"""A plan and another, or a controller's text: equal for ever, or the shortest parting."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given import files
from steadfall.app.given.controller import Controller
from steadfall.app.given.document import document, json_text
from steadfall.logic.build.whole import build
from steadfall.plan.meaning.identity import identity
from steadfall.plan.model import Plan
from steadfall.plan.revise.changes import Change, changes
from steadfall.plan.revise.mapped import mapped
from steadfall.predict.outcome.effect import Effect, effects
from steadfall.predict.run import coarse, predict
from steadfall.progress import Progress
from steadfall.prove.compare.apart import Apart, Side, apart
from steadfall.prove.compare.compare import EFFORT, How, compare_plans
from steadfall.prove.compare.compare import compare as compare_networks
from steadfall.prove.compare.compared import Comparison
from steadfall.report.page.comparison import NAME, comparison_page
from steadfall.roles import Role
from steadfall.source import AskError, Mark, PlanError, Problem, Text
from steadfall.st.bring import read_map
from steadfall.why.words.wording import PLAIN, wording_of
from steadfall.words import _

__all__ = ["EFFORT", "Compared", "How", "compare"]

FILE = "compare.json"
NO_PLANT = _("a plan has no plant, so nothing is done to one; compare without --predict")
DRAWN = 4  # partings on the page


@frozen(eq=False)
class Compared:
    """What was compared, and what is known of it."""

    found: Comparison
    sides: tuple[Side, Side]
    changed: tuple[Change, ...] | None  # None where a text was compared
    code: Text | None = None  # the text, where one was compared
    effect: tuple[Effect, ...] | None = None  # on the plant, where both were predicted too
    same: str = ""  # that both are one file, or say the same letter by letter

    @property
    def good(self) -> bool:
        """Whether the two have the same outputs, and these are equal for ever."""
        return self.found.good

    def shown(self, most: int) -> list[Apart]:
        """The earliest partings, with the reasons on each side."""
        return apart(self.found, self.sides, most)

    def page(self, *, dated: str = "") -> str:
        """The page as text, with a date or with room for one."""
        drawn = self.shown(DRAWN)
        return comparison_page(self.found, self.sides, self.changed, drawn, effect=self.effect, dated=dated)

    def write(self, folder: str | Path, *, dated: str = "") -> tuple[Path, ...]:
        """Write result and page into a folder, the page with a date or with room for one; raises OutsideError
        where that cannot be.
        """
        made = {FILE: json_text(self.as_json()), NAME: self.page(dated=dated)}
        return files.write(made, Path(folder))

    def as_json(self) -> dict[str, Any]:
        """In stable names; `other`, `changes` and `changed` are null where a text was compared."""
        one, two = (side.plan for side in self.sides)
        body = {
            "other": None if two is None else identity(two),
            "code": None if self.code is None else self.code.as_json(),
            **self.found.as_json(),
            "changed": _each(_lines, self.changed),
            "changes": _each(_change, self.changed),
            "effect": None if self.effect is None else [row.as_json() for row in self.effect],
            "note": self.same,
        }
        return document(one, self.good, body)


def compare(
    plan: Plan,
    other: Plan | Controller,
    *,
    names: Path | None = None,
    how: How | None = None,
    predicted: bool = False,
) -> Compared:
    """Compare what two controllers do; `names` maps names of the other plan to this one's. `predicted`: and
    what that does to the plant, on the coarse setting.

    Raises PlanError where the two command no valve of the same name, AskError where a plant is lacking.
    """
    how = how or How()
    if predicted and not all(one.has_plant for one in (plan, other) if isinstance(one, Plan)):
        raise AskError(NO_PLANT)
    how.progress.step(0, None, "comparing")
    found = _logic(plan, other, names, how)
    return evolve(found, effect=_effect(plan, other, how.progress)) if predicted else found


def _effect(plan: Plan, other: Plan | Controller, progress: Progress) -> tuple[Effect, ...]:
    first = predict(plan, None, coarse(plan), progress)
    if isinstance(other, Controller):
        return effects(first, predict(plan, None, coarse(plan), progress, other.network))
    return effects(first, predict(other, None, coarse(other), progress))


def _logic(plan: Plan, other: Plan | Controller, names: Path | None, how: How) -> Compared:
    if isinstance(other, Controller):
        return _with_text(plan, other, how)
    known = None if names is None else mapped(read_map(names), names.name, plan, other)
    found = compare_plans(plan, other, how, known)
    titles = _titles(plan.at.own.file, other.at.own.file)
    one, two = (
        Side(title, build(side), wording_of(side), side)
        for title, side in zip(titles, (plan, other), strict=True)
    )
    if not any(row.identity.role is Role.COMMAND for row in found.valves):
        raise PlanError([_nothing(other.at.own.file, one, two)])
    return Compared(found, (one, two), changes(plan, other, found.names), same=_same(plan, other))


def _with_text(plan: Plan, other: Controller, how: How) -> Compared:
    first = build(plan)
    titles = _titles(plan.at.own.file, other.text.file)
    sides = Side(titles[0], first, wording_of(plan), plan), Side(titles[1], other.network, PLAIN)
    found = compare_networks(plan, first, other.network, how)
    return Compared(found, sides, None, other.text)


def _titles(first: str, second: str) -> tuple[str, str]:
    """What the two are called: their files' names, with as much of the path as tells them apart."""
    one, two = Path(first), Path(second)
    return (one.name, two.name) if one.name != two.name else (first, second)


def _same(one: Plan, two: Plan) -> str:
    first, second = one.at.own.file, two.at.own.file
    if Path(first).resolve() == Path(second).resolve():
        return f"{first} and {second} are the same file."
    return "The two files are the same, letter by letter." if one.digest == two.digest else ""


def _nothing(second: str, one: Side, two: Side) -> Problem:
    """That no valve has the same name in both."""
    ours, theirs = (", ".join(side.network.outputs[:4]) for side in (one, two))
    read = (
        f"the two plans command no valve of the same name: {one.title} has {ours} ..., {two.title} has "
        f"{theirs} ..."
    )
    theirs, own = (side.network.identities[side.network.outputs[0]].circuit for side in (two, one))
    example = f"{theirs}: {own}"
    return Problem(Mark(second, 0, 0), "nothing-in-common", "", read, "a --map with lines", example)


def _each(told: Callable[[Change], list[Any]], rows: Sequence[Change] | None) -> list[Any] | None:
    return None if rows is None else [one for row in rows for one in told(row)]


def _lines(row: Change) -> list[str]:
    """A change as lines with a sign before them."""
    return [f"{sign} {row.where}: {said}" for sign, said in (("-", row.first), ("+", row.second)) if said]


def _change(row: Change) -> list[dict[str, Any]]:
    place, first, second = list(row.place), row.first, row.second
    return [{"place": place, "first": first, "second": second, "of_controller": row.of_controller}]
