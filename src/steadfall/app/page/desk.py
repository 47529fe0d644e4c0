"""A plan while a person writes it: what was typed is on the disk at once, and a change by others is seen.

Rule of this file: nothing outside the plan's folder is read or written, but a plan that a person has named
on the command line; where that is a link, the file behind it is saved, as long as the link leads there. A
save is whole or not at all, and never lies over what somebody else saved. What was typed is never looked for
behind a link.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from steadfall.app.check import Checked, check_text
from steadfall.app.given.called import is_file_name
from steadfall.bench.cases.whole import cases
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.starter import PATTERNS, starter
from steadfall.plan.text.tree import LARGEST_TEXT
from steadfall.prove.requirements.faults import possible
from steadfall.source import AskError, OutsideError, PlanError, Problem
from steadfall.words import _

ENDINGS = (".yaml", ".yml")
MOST = 4 * LARGEST_TEXT  # bytes
__all__ = ["ENDINGS", "MOST", "PATTERNS", "Desk", "begin", "inside", "opened", "plans", "read_inside"]
__all__ += ["starter"]


@frozen
class Desk:
    """A plan's text as it is typed, and the text of the file that it began from (None: there is none)."""

    path: Path
    text: str
    began: str | None
    real: Path  # the file itself, where the path is a link

    @property
    def typed(self) -> bool:
        """Whether there is anything that the file does not have."""
        return self.text != self.began

    @property
    def draft(self) -> Path:
        """Where what was typed lies until it is saved."""
        return self.path.with_name(f".{self.path.name}.typed")

    def write(self, text: str) -> Desk:
        """The desk with this text, which is kept on the disk before anything else is done with it."""
        if len(text) > LARGEST_TEXT:
            raise AskError(_too_long(text))
        made = evolve(self, text=text)
        if made.typed:
            _put(made.draft, text)
        else:
            self.draft.unlink(missing_ok=True)
        return made

    def on_disk(self) -> str | None:
        """What the file says now; None where it has gone."""
        return _text(self.path)

    def changed(self) -> bool:
        """Whether somebody else has saved since this desk was laid out."""
        return self.on_disk() not in (self.began, self.text)

    def save(self, *, over: bool = False) -> Desk:
        """Write the file; raises AskError where somebody else saved meanwhile, unless it is to be written
        over.
        """
        if self.path.resolve() != self.real:
            elsewhere = _("{name} leads elsewhere since it was opened; nothing was written")
            raise AskError(elsewhere.format(name=self.path.name))
        if self.changed() and not over:
            changed = _("{name} was changed on the disk since it was opened")
            raise AskError(changed.format(name=self.path.name))
        _put(self.real, self.text)
        self.draft.unlink(missing_ok=True)
        return evolve(self, began=self.text)

    def taken(self) -> Desk:
        """The desk with what the file says, and nothing of what was typed."""
        text = self.on_disk()
        if text is None:
            raise AskError(_("{name} has gone from the disk").format(name=self.path.name))
        self.draft.unlink(missing_ok=True)
        return Desk(self.path, text, text, self.path.resolve())

    def check(self) -> Checked:
        """Every problem of the text as it stands."""
        return check_text(self.text, str(self.path), self._within)

    def _within(self, plan: Plan) -> None:
        """What is typed may name a list in this folder, and none elsewhere."""
        name = plan.io.list_file
        folder = self.path.parent.resolve()
        if name is not None and not (folder / name).resolve().is_relative_to(folder):
            read, wanted = f"'{name}' lies outside the folder of the plan", "a list beside the plan"
            place = plan.at.of("io")
            raise PlanError([Problem(place, "outside-the-folder", "io", read, wanted, "panel.csv")])

    def plan(self) -> Plan | None:
        """The plan of this text; None where it has problems. The list of its panel is not read."""
        try:
            plan = _read(self.text, str(self.path))
            self._within(plan)
        except PlanError:
            return None
        return plan

    def scenarios(self) -> tuple[str, ...]:
        """The scenarios of the plan; none where it has problems."""
        plan = self.plan()
        return () if plan is None else tuple(plan.scenarios)

    def faults(self) -> tuple[str, ...]:
        """The faults that a proof can be asked under; none where the plan has problems."""
        plan = self.plan()
        return () if plan is None else possible(plan)

    def cases(self) -> tuple[str, ...]:
        """The cases of the bench, by their names; none where the plan has problems."""
        plan = self.plan()
        return () if plan is None else tuple(one.name for one in cases(plan).cases)

    def as_json(self) -> dict[str, Any]:
        """What `steadfall check --json` says of this text."""
        return self.check().as_json()


def opened(path: Path) -> Desk:
    """A desk with a plan; what was typed and not saved lies on it again."""
    text = _text(path)
    desk = Desk(path, text or "", text, path.resolve())
    typed = None if desk.draft.is_symlink() else _text(desk.draft)
    if text is None and typed is None:
        raise OutsideError(_("there is no plan {name}").format(name=path))
    return desk if typed is None else evolve(desk, text=typed)


def begin(folder: Path, name: str, text: str) -> Desk:
    """A desk with a new plan, which is written; raises AskError where there is one already."""
    path = inside(folder, name)
    if path.exists():
        there = _("there is a {name} already; choose another name")
        raise AskError(there.format(name=path.name))
    if len(text) > LARGEST_TEXT:
        raise AskError(_too_long(text))
    _put(path, text)
    return opened(path)


def inside(folder: Path, name: str) -> Path:
    """A plan of a folder by its bare name; raises AskError for any other place."""
    plain = name.strip()
    if plain.startswith(".") or len(plain) > 100 or not is_file_name(plain):
        bad_name = _("'{name}' cannot be the name of a plan; write a name such as 'press-2.yaml'")
        raise AskError(bad_name.format(name=plain[:100]))
    path = folder / (plain if plain.endswith(ENDINGS) else f"{plain}.yaml")
    if not path.resolve().is_relative_to(folder.resolve()):
        raise AskError(_("{name} leads out of this folder").format(name=path.name))
    return path


def plans(folder: Path) -> Iterator[str]:
    """The plans of a folder by their names."""
    with suppress(OSError):
        for path in sorted(folder.iterdir()):
            if path.suffix in ENDINGS and not path.name.startswith(".") and path.is_file():
                with suppress(AskError):
                    yield inside(folder, path.name).name


def read_inside(folder: Path, name: str) -> str:
    """The text of a plan of a folder; raises AskError for any other place, or where there is none."""
    text = _text(inside(folder, name))
    if text is None:
        raise AskError(_("there is no plan {name} in this folder").format(name=name))
    return text


def _too_long(text: str) -> str:
    said = _("a plan has at most {most:,} letters, this one {count:,}")
    return said.format(most=LARGEST_TEXT, count=len(text))


@lru_cache(maxsize=4)
def _read(text: str, name: str) -> Plan:
    """A plan, which several views ask for one after the other."""
    return read_text(text, name)


def digest(text: str) -> str:
    """What tells one text from another."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _text(path: Path) -> str | None:
    try:
        with path.open("rb") as file:
            data = file.read(MOST + 1)
    except OSError:
        return None
    if len(data) > MOST:
        raise AskError(_("{name} has more than {most:,} bytes").format(name=path.name, most=MOST))
    return data.decode("utf-8", "replace").replace("\r\n", "\n").removeprefix("\ufeff")


def _put(path: Path, text: str) -> None:
    """The whole file, or the one that was there."""
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            os.chmod(name, path.stat().st_mode & 0o777)
        os.replace(name, path)
    except (OSError, UnicodeEncodeError) as error:
        with suppress(OSError):
            os.unlink(name)
        why = getattr(error, "strerror", None) or error
        raise OutsideError(_("cannot write {path}: {why}").format(path=path, why=why)) from error
