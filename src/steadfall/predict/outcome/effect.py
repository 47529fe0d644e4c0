"""What a revision does to the plant: time, shock, pressure, water of two predictions, side by side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import CIRCUIT_PRESSURE, MASS, WALL_SHOCK, Quantity, Reading

TIME = Reading("s", "s", "s", 1.0, 0.0, 0)


@frozen
class Effect:
    """A figure of both predictions, in SI; None where it is not there: a goal that is not reached."""

    what: str
    first: float | None
    second: float | None
    reading: Reading
    is_time: bool = False

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        unit = "s" if self.is_time else self.reading.si
        return {"what": self.what, "first": self.first, "second": self.second, "unit": unit}


def effects(one: Prediction, two: Prediction) -> tuple[Effect, ...]:
    """Time, then shock, pressure and water of the circuits that both have, then all water and air."""
    return (*_times(one, two), *_circuits(one, two), *_use(one, two))


def _times(one: Prediction, two: Prediction) -> Iterator[Effect]:
    theirs = {(goal.goal.of, goal.goal.bound): goal.reached_ms for goal in two.goals}
    for goal in one.goals:
        about = goal.goal.of, goal.goal.bound
        if about in theirs:
            what = f"{goal.goal.of} {goal.goal.bound} its goal"
            yield Effect(what, _seconds(goal.reached_ms), _seconds(theirs[about]), TIME, is_time=True)
    yield Effect("end of the run", one.end_ms / 1000, two.end_ms / 1000, TIME, is_time=True)


def _circuits(one: Prediction, two: Prediction) -> Iterator[Effect]:
    for circuit in (name for name in one.plan.circuits if name in two.plan.circuits):
        for what, quantity in (("wall shock", WALL_SHOCK), ("peak pressure", CIRCUIT_PRESSURE)):
            first, second = (_peak(of, circuit, quantity) for of in (one, two))
            yield Effect(f"{circuit}: {what}", first, second, quantity.reading)
        water = [next(use.water for use in of.circuits if use.circuit == circuit) for of in (one, two)]
        yield Effect(f"{circuit}: water", water[0], water[1], MASS)


def _use(one: Prediction, two: Prediction) -> Iterator[Effect]:
    water = [sum(use.water for use in of.circuits) for of in (one, two)]
    air = [sum(use.air for use in of.circuits) for of in (one, two)]
    yield Effect("water in all", water[0], water[1], MASS)
    yield Effect("air in all", air[0], air[1], MASS)


def _peak(of: Prediction, circuit: str, quantity: Quantity) -> float:
    track = of.trace.tracks[quantity.named(circuit)]
    return float(np.max(track.values if track.high is None else track.high))


def _seconds(ms: int | None) -> float | None:
    return None if ms is None else ms / 1000
