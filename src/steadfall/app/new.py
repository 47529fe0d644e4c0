"""A commented plan to start from."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.app.given.called import is_file_name
from steadfall.app.given.document import document
from steadfall.plan.draft.questions import QUESTIONS, Question
from steadfall.plan.draft.sheet import Sheet, fits
from steadfall.plan.draft.whole import draft
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plan.starter import PATTERNS, starter
from steadfall.source import AskError, OutsideError

FILE = "plan.yaml"
DRAFTED = "drafted"  # the pattern of a plan that was made of answers
__all__ = ["DRAFTED", "FILE", "PATTERNS", "QUESTIONS", "Begun", "Question"]
__all__ += ["draft", "fits", "new", "suggested"]


@frozen(eq=False)
class Begun:
    """A starter plan that was written."""

    plan: Plan
    pattern: str
    path: Path

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return document(self.plan, True, {"pattern": self.pattern, "written": [str(self.path)]})


def new(folder: Path, pattern: str = PATTERNS[0], answers: Mapping[str, str] | None = None) -> Begun:
    """Write a starter plan into a folder, or one that is drafted from some answers.

    Raises AskError for an answer that does not fit, OutsideError where there is a plan already.
    """
    if folder.suffix in (".yaml", ".yml"):
        raise AskError(f"DIR is a folder, in which {FILE} is written: steadfall new {folder.stem}")
    if not (folder.exists() or is_file_name(folder.name)):
        raise AskError(f"'{folder.name}' cannot be the name of a folder on every system; choose another")
    path = folder / FILE
    text = starter(pattern) if answers is None else draft(answers)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as error:
        raise OutsideError(f"{path} is there already; choose another folder or move it away") from error
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return Begun(read_file(path), pattern if answers is None else DRAFTED, path)


def suggested(name: str, answers: Mapping[str, str]) -> str:
    """What is typical for a question, after the answers that there are."""
    return Sheet({known: said for known, said in answers.items() if known != name}).said(name)
