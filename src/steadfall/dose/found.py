"""What a search found: data only, and its plain forms."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import evolve, field, frozen

from steadfall.dose.aim import Aim
from steadfall.dose.bound import Bound, adverse
from steadfall.dose.hunt import Judged
from steadfall.dose.variable import Point, Variable
from steadfall.dose.work import Outcome
from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.verdict import Verdict
from steadfall.quantities import METRIC, Units


@frozen
class Room:
    """What is left to a bound: the figure as the grids judge it, and the share of the bound that is left."""

    bound: Bound
    figure: float
    left: float


def rooms(judged: Judged) -> tuple[Room, ...]:
    """What is left to every bound, the tightest first."""
    applied = [(bound, figure) for bound, figure in adverse(judged.result).items() if math.isfinite(figure)]
    found = (Room(bound, figure, -bound.over(figure)) for bound, figure in applied)
    return tuple(sorted(found, key=lambda one: one.left))


@frozen
class Buy:
    """What bounds moved by so much would give, of a coarse search with them: None where nothing better."""

    bounds: tuple[Bound, ...]
    by: float  # SI
    before: Outcome
    after: Outcome | None


@frozen
class Fight:
    """Bounds that no doses keep together: at the doses that break least, and what each would have to become
    for all others to be kept.
    """

    point: Point
    broken: Mapping[Bound, float]  # the figures there; inf: a goal that was not reached
    changes: Mapping[Bound, float]  # the bound -> the value that would do


@frozen
class Doses:
    """The answer."""

    plan: Plan
    aim: Aim
    variables: Sequence[Variable]
    tried: int
    stopped: bool  # by Ctrl-C
    given: Judged | None  # the plan's own numbers; None: stopped before they were judged
    found: Judged | None  # None: none keeps everything, or none was judged
    rough: Point | None  # the best on the coarse grid, where it was not judged
    trade: Mapping[Point, Outcome]  # what no other beats, on the coarse grid
    rooms: tuple[Room, ...] = ()  # tightest first
    buys: tuple[Buy, ...] = ()
    fight: Fight | None = None
    wanted: float | None = None  # the odds that were asked for
    gentlest: Mapping[Bound, float] = field(factory=dict)  # what each limit came to at best in any try
    units: Units = METRIC  # in which a person reads them

    @property
    def good(self) -> bool:
        """Doses were found that keep everything, with the odds that were asked for."""
        return self.found is not None and not self.stopped and self.sure

    @property
    def sure(self) -> bool:
        """Whether the odds of keeping every limit are those that were asked for."""
        bands = None if self.found is None else self.found.result.bands
        return self.wanted is None or (bands is not None and bands.limits.share >= self.wanted)

    @property
    def changed(self) -> tuple[tuple[Variable, float, float], ...]:
        """The numbers that are others than in the plan, with the value there and the new one."""
        if self.found is None:
            return ()
        pairs = zip(self.variables, self.found.point, strict=True)
        rows = ((one, one.number.get(self.plan), one.values[place]) for one, place in pairs)
        return tuple(row for row in rows if not math.isclose(row[1], row[2], abs_tol=1e-6))

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md); SI units, times in s."""
        return {
            "for": self.aim.value,
            "tried": self.tried,
            "stopped": self.stopped,
            "variables": [
                {
                    "name": one.number.name,
                    "given": one.number.get(self.plan),
                    "found": None if self.found is None else one.values[self.found.point[k]],
                    "least": one.values[0],
                    "most": one.values[-1],
                }
                for k, one in enumerate(self.variables)
            ],
            "given": None if self.given is None else _figures(self.given.result),
            "found": None if self.found is None else _figures(self.found.result),
            "trade_off": [self._offer(point, one) for point, one in self.trade.items()],
            "bounds": [{**_bound(one.bound), "figure": one.figure, "left": one.left} for one in self.rooms],
            "buys": [
                {
                    "bounds": [_bound(bound) for bound in one.bounds],
                    "by": one.by,
                    "before": _outcome(one.before),
                    "after": None if one.after is None else _outcome(one.after),
                }
                for one in self.buys
            ],
            "fight": None if self.fight is None else _fight(self.fight),
            "odds_wanted": self.wanted,
            "gentlest": [{**_bound(bound), "figure": figure} for bound, figure in self.gentlest.items()],
            "bands": _bands(self.found),
        }

    def _offer(self, point: Point, one: Outcome) -> dict[str, Any]:
        values = [variable.values[place] for variable, place in zip(self.variables, point, strict=True)]
        return {**_outcome(one), "values": values}


def _outcome(one: Outcome) -> dict[str, Any]:
    return {"time_s": one.time, "water_kg": one.water, "openings": one.openings}


def _figures(surveyed: Prediction) -> dict[str, Any]:
    result = evolve(surveyed, bands=None)  # as planned: the odds stand apart
    reached = [one.reached_ms for one in result.goals]
    last = None if None in reached else max(ms for ms in reached if ms is not None) / 1000
    return {
        "verdict": result.verdict.value,
        "good": result.verdict is Verdict.KEPT,
        "time_s": last,
        "water_kg": sum(use.water for use in result.circuits),
        "openings": sum(use.openings for use in result.valves),
    }


def _bound(bound: Bound) -> dict[str, Any]:
    return {"sort": bound.sort.value, "of": bound.about, "sentence": bound.text, "value": bound.value}


def _fight(fight: Fight) -> dict[str, Any]:
    return {
        "broken": [
            {**_bound(bound), "figure": figure if math.isfinite(figure) else None}
            for bound, figure in fight.broken.items()
        ],
        "changes": [{**_bound(bound), "to": value} for bound, value in fight.changes.items()],
    }


def _bands(found: Judged | None) -> dict[str, Any] | None:
    bands = None if found is None else found.result.bands
    return None if bands is None else bands.as_json()
