"""Pictures of a plan that need no prediction: its piping, its sequence as a table of strips."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from attrs import frozen

from steadfall.app.given.document import document
from steadfall.plan.model import Plan
from steadfall.report.sketch.draw import draw_sketch, style
from steadfall.report.sketch.parts import Sketch
from steadfall.report.sketch.piping import piping
from steadfall.report.sketch.stages import stage_table
from steadfall.source import OutsideError

__all__ = ["Sketched", "sketch", "style"]


@frozen(eq=False)
class Sketched:
    """A sketch of a plan, and its ways out."""

    plan: Plan
    sketch: Sketch

    @property
    def svg(self) -> str:
        """A file of its own."""
        return draw_sketch(self.sketch, alone=True) + "\n"

    @property
    def inline(self) -> str:
        """An element of a page that has `style()`."""
        return draw_sketch(self.sketch)

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return document(self.plan, True, self.sketch.as_json())

    def write(self, path: Path) -> Path:
        """Write the picture and give its path; raises OutsideError where it cannot be written."""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(self.svg, encoding="utf-8", newline="\n")
        except OSError as error:
            raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
        return path


def sketch(plan: Plan, *, stages: bool = False) -> Sketched:
    """The piping of a plan: supplies, valves at rest, circuits, bodies, sensors at their places; or its
    stages: a row a valve, a column a stage, in each cell a strip to scale.
    """
    return Sketched(plan, stage_table(plan) if stages else piping(plan))
