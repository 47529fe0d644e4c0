"""What is known of a figure and its bound, from the grid that was asked for and from finer ones beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import Any

from attrs import frozen


class Verdict(StrEnum):
    """What is known of a limit, a goal, a rating, or of all of them together."""

    KEPT = "kept"
    BROKEN = "broken"
    NOT_RESOLVED = "not resolved"  # it hangs on the grid
    NOT_ASKED = "not asked"  # of all together: there is no limit and no goal
    NO_PLANT = "no plant"  # of all together: the plan is of the logic alone, and only its timing is shown
    NOT_SURE = "not sure"  # of all together: kept in this run, but not in nearly all that surround it


@frozen
class FinerGrid:
    """A finer grid on which the same was run, and whether it came to its end there."""

    cells: int
    step: float  # s
    complete: bool
    ended: str  # why it ended, as a sentence

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return {"cells": self.cells, "step_s": self.step, "complete": self.complete, "ended": self.ended}


@frozen
class Finer:
    """A figure on the finer grid on which it is furthest from the one that is told."""

    value: float | None  # SI, of a goal the moment in s; None: the limit never applied, the goal not reached
    grid: FinerGrid

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return {"value": self.value, "cells": self.grid.cells, "step_s": self.grid.step}


def verdict(margins: Sequence[float]) -> Verdict:
    """What follows from what is left to the bound on each grid: negative beyond it, infinite where there is
    nothing to compare.

    A figure that moves from grid to grid by more than the nearest is from its bound is not resolved.
    """
    within = [margin >= 0.0 for margin in margins]
    if any(within) != all(within):
        return Verdict.NOT_RESOLVED
    finite = [margin for margin in margins if math.isfinite(margin)]
    if finite and max(finite) - min(finite) > min(abs(margin) for margin in finite):
        return Verdict.NOT_RESOLVED
    return Verdict.KEPT if all(within) else Verdict.BROKEN
