"""A commented plan to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.app.document import document
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plan.starter import PATTERNS, starter
from steadfall.source import AskError, OutsideError

FILE = "plan.yaml"
__all__ = ["FILE", "PATTERNS", "Begun", "new"]


@frozen(eq=False)
class Begun:
    """A starter plan that was written."""

    plan: Plan
    pattern: str
    path: Path

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return document(self.plan, True, {"pattern": self.pattern, "written": [str(self.path)]})


def new(folder: Path, pattern: str = PATTERNS[0]) -> Begun:
    """Write a starter plan into a folder; raises OutsideError where there is a plan already."""
    if folder.suffix in (".yaml", ".yml"):
        raise AskError(f"DIR is a folder, in which {FILE} is written: steadfall new {folder.stem}")
    path = folder / FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(starter(pattern))
    except FileExistsError as error:
        raise OutsideError(f"{path} is there already; choose another folder or move it away") from error
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return Begun(read_file(path), pattern, path)
