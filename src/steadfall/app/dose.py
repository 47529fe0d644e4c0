"""Doses: searched in a plan, with what can be reckoned by hand beside them, and put into its text."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.given.crew import crew
from steadfall.app.given.document import document, json_text
from steadfall.app.given.files import drafted
from steadfall.app.prove import prove
from steadfall.app.size import Sized, size
from steadfall.compiled import cold
from steadfall.dose.aim import Aim
from steadfall.dose.found import Doses
from steadfall.dose.hunt import Hands, Wish
from steadfall.dose.sure import Sureness
from steadfall.dose.variable import put
from steadfall.extras import opened
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.revise.numbers import with_numbers
from steadfall.progress import SILENT, Cancelled, Progress
from steadfall.prove.decide.result import REFUTED
from steadfall.prove.requirements.watch import Required
from steadfall.quantities import Units
from steadfall.source import AskError, OutsideError
from steadfall.words import _

__all__ = [
    "AIMS",
    "FOR_PAGE",
    "NEEDED",
    "TRIES",
    "Dosed",
    "Rewritten",
    "adopt",
    "aim_named",
    "changed_lines",
    "cold",
    "dose",
    "rewrite",
    "share",
]
NEEDED = ("pymoo", "scipy", "fluids")
FOR_PAGE = (*NEEDED, "jinja2")
AIMS = tuple(aim.value for aim in Aim)
RESULT = "doses.json"
TRIES = 1000
RUNS = 200  # within the tolerances
NOTHING = _("no doses were found that keep everything, so there is nothing to write")
SAME = _("the plan's own numbers are the best that was found; there is nothing to write")
UNPROVED = _("the proof was stopped before its end; nothing was written")
CHANGED = _("{name} is not what it was when it was read; nothing was written")
NO_SHARE = _("{odds!r} is no share; expected more than 0 %, at most 100 %, as '95 %'")


@frozen(eq=False)
class Dosed:
    """The doses that were found, and their ways out."""

    found: Doses
    by_hand: Sized | None = None  # of the plan with the numbers that were found

    @property
    def good(self) -> bool:
        """Doses were found that keep every limit, with the odds that were asked for."""
        return self.found.good

    def in_units(self, units: Units) -> Dosed:
        """The same, as they are read in other units."""
        hand = self.by_hand and self.by_hand.in_units(units)
        return evolve(self, found=evolve(self.found, units=units), by_hand=hand)

    def text(self) -> str:
        """The plan's text with the numbers in their places. Raises AskError where there are none."""
        if self.found.found is None:
            raise AskError(NOTHING)
        return with_numbers(self.found.plan, {one.number: new for one, _, new in self.found.changed})

    def offered(self, row: int) -> str:
        """The plan's text with the numbers of one row of the trade-off."""
        point = list(self.found.trade)[row]
        values = zip(self.found.variables, point, strict=True)
        return with_numbers(self.found.plan, {one.number: one.values[place] for one, place in values})

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return document(self.found.plan, self.good, self.found.as_json())

    def page(self, *, dated: str = "") -> str:
        """The page as text; raises OutsideError when jinja2 is not installed."""
        hand = self.by_hand.found if self.by_hand else None
        made: str = opened("steadfall.report.page.doses").doses_page(self.found, hand, dated=dated)
        return made

    def write(self, folder: str | Path, *, dated: str = "") -> list[Path]:
        """Write the page and the result into a folder and give their paths, the page first.

        Raises OutsideError when the folder cannot be written or jinja2 is not installed.
        """
        folder, hand = Path(folder), self.by_hand.found if self.by_hand else None
        with drafted(folder) as draft:
            page = opened("steadfall.report.page.doses").write_doses(self.found, hand, draft, dated=dated)
            (draft / RESULT).write_text(json_text(self.as_json()), encoding="utf-8")
        return [folder / page.name, folder / RESULT]


@frozen
class Rewritten:
    """What became of a plan's text: the change line by line, and the requirements that refuse it."""

    text: str
    change: str
    refuted: tuple[str, ...]
    unknown: tuple[str, ...]
    refusals: tuple[str, ...] = ()  # the refuted ones as a person reads them

    @property
    def written(self) -> bool:
        """Whether the file was written."""
        return not self.refuted

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        lists = {"refuted": list(self.refuted), "unknown": list(self.unknown)}
        return {"change": self.change, **lists, "text": self.text}


def aim_named(word: str) -> Aim:
    """What the doses are to be good for, by its word. Raises AskError where there is none."""
    if word not in AIMS:
        raise AskError(f"there is no aim '{word}'; expected one of {', '.join(AIMS)}")
    return Aim(word)


def share(odds: str) -> float:
    """Odds as a share of the runs: '95 %' is 0.95. Raises AskError."""
    digits = odds.strip().removesuffix("%").strip()
    try:
        value = float(digits) / 100
    except ValueError:
        value = -1.0
    if not 0.0 < value <= 1.0:
        raise AskError(NO_SHARE.format(odds=odds))
    return value


def dose(
    plan: Plan,
    wish: Wish | None = None,
    odds: float | None = None,
    *,
    workers: int | None = None,
    cluster: str = "",
    progress: Progress = SILENT,
) -> Dosed:
    """Search the doses of a plan; after Ctrl-C, what is known by then.

    With more than one worker processes are spawned: a script then needs `if __name__ == "__main__":`. Raises
    AskError where there is nothing to be searched, PlanError for what nothing can keep, OutsideError
    where a library is missing or the cluster does not answer.
    """
    search = opened("steadfall.dose.whole").dose
    with crew(workers, cluster) as many:
        found: Doses = search(plan, wish or Wish(), Hands(many, progress), Sureness(RUNS, odds))
    if found.found is None or found.stopped:
        return Dosed(found)
    return Dosed(found, size(put(plan, found.variables, found.found.point), None, progress))


def adopt(dosed: Dosed, name: str, progress: Progress = SILENT) -> Rewritten:
    """The plan's text with the numbers in it, its requirements proved again; nothing is written.

    Raises AskError where there is nothing to write, Cancelled where the proof was stopped.
    """
    plan, text = dosed.found.plan, dosed.text()
    if text == plan.text:
        raise AskError(SAME)
    proved = prove(read_text(text, name), progress=progress)
    if proved.proof.stopped:
        raise Cancelled(UNPROVED)
    verdicts = proved.verdicts
    refuted = [one.required for one in verdicts if one.verdict == REFUTED]
    unknown = tuple(one.required.name for one in verdicts if not one.good and one.verdict != REFUTED)
    names, why = tuple(one.name for one in refuted), tuple(_told(one) for one in refuted)
    return Rewritten(text, changed_lines(plan.text, text, name), names, unknown, why)


def _told(one: Required) -> str:
    """A requirement by its sentence, its name and its lines in the plan."""
    lines = sorted({mark.line for mark in one.marks})
    return f"{one.sentence} ({one.name}, line {', '.join(map(str, lines))})"


def changed_lines(before: str, after: str, name: str) -> str:
    """What becomes of a text, line by line."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), name, name, lineterm="", n=0)
    return "\n".join(lines)


def rewrite(dosed: Dosed, path: Path, progress: Progress = SILENT) -> Rewritten:
    """Put the numbers into the plan file, once its requirements are proved again; one refuted, nothing.

    Raises AskError where there is nothing to write, OutsideError where the file has changed meanwhile or
    cannot be written.
    """
    made = adopt(dosed, str(path), progress)
    if made.written:
        _replace(path, dosed.found.plan.text, made.text)
    return made


def _replace(path: Path, before: str, text: str) -> None:
    """The new text in the place of the old one, whole or not at all; a link stays a link."""
    real = path.resolve()
    try:
        old, mode = real.read_bytes(), real.stat().st_mode
    except OSError as error:
        raise OutsideError(f"cannot read {path}: {error.strerror or error}") from error
    head, _, tail = old.partition(before.encode())
    if old != head + before.encode() + tail or len(head) > len(b"\xef\xbb\xbf") or tail:
        raise OutsideError(CHANGED.format(name=path))
    with drafted(real.parent) as draft:
        new = draft / real.name
        new.write_bytes(head + text.encode())
        new.chmod(mode)
