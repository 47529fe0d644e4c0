"""What many runs say together: odds, bands over time, what the outcome depends on. Data only."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray

from steadfall.workers import Crew, Processes

PERCENT = (5.0, 50.0, 95.0)


@frozen
class Survey:
    """How many runs, from which seed, and who does them."""

    runs: int = 200
    seed: int = 1
    crew: Crew = Processes(2)


@frozen
class Odds:
    """So many of so many runs, and the interval that holds the true share with 95 % confidence."""

    what: str
    kept: int
    runs: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share of the runs."""
        return self.kept / self.runs


@frozen
class Range:
    """The 5, 50 and 95 % points of a figure over the runs, in SI; None where fewer runs reached it."""

    what: str
    of: str  # plant quantity, or '' for a time in s
    low: float | None
    mid: float | None
    high: float | None


@frozen(eq=False)
class Band:
    """A quantity over time: its 5, 50 and 95 % points at each moment, SI."""

    name: str
    times_ms: NDArray[np.int64] = field(repr=False)
    low: NDArray[np.float64] = field(repr=False)
    mid: NDArray[np.float64] = field(repr=False)
    high: NDArray[np.float64] = field(repr=False)


@frozen
class Driver:
    """How closely the outcome follows one uncertain number: rank correlation, -1 .. 1."""

    what: str
    correlation: float


@frozen(eq=False)
class Bands:
    """Many runs of one plan, each with other numbers within the tolerances and the model's own
    uncertainty.
    """

    runs: int
    seed: int
    stopped: int  # runs that left what can be computed, or ended before their scenario was over
    limits: Odds  # every limit and every rating kept
    good: Odds  # and every goal reached in time
    each: tuple[Odds, ...]  # limit by limit, then goal by goal
    ranges: tuple[Range, ...]  # in the same order: the worst of a limit, the moment of a goal
    curves: Mapping[str, Band]  # bodies and gas streams
    drivers: tuple[Driver, ...]  # of the last goal's moment, closest first; empty without goals
    tolerances: tuple[str, ...]  # what was varied

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md), without the curves."""
        return {
            "runs": self.runs,
            "seed": self.seed,
            "stopped": self.stopped,
            "limits_kept": _odds(self.limits),
            "good": _odds(self.good),
            "each": [_odds(odds) for odds in self.each],
            "ranges": [
                {"what": one.what, "of": one.of, "p5": one.low, "p50": one.mid, "p95": one.high}
                for one in self.ranges
            ],
            "drivers": [{"what": one.what, "rank_correlation": one.correlation} for one in self.drivers],
            "varied": list(self.tolerances),
        }


def _odds(odds: Odds) -> dict[str, Any]:
    return {
        "what": odds.what,
        "kept": odds.kept,
        "runs": odds.runs,
        "share": odds.share,
        "low": odds.low,
        "high": odds.high,
    }
