"""Upsets of a scenario: sensors that show something else, supplies that have another pressure or temperature.

Rule of this file: an upset writes into the arrays that the loop reads, between two scans; the loop itself
knows nothing of it. A sensor shows one value where the two ends of what it can show are that value.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.plan.model import Plan
from steadfall.plant import fields as f
from steadfall.plant.grid.lines import static_head
from steadfall.plant.grid.whole import Grid
from steadfall.predict.scenario import Upset
from steadfall.predict.wiring import Wiring

Reals = NDArray[np.float64]
Write = tuple[Reals, tuple[int, ...], float]  # array, place, value


@frozen(eq=False)
class Due:
    """What is to be written before the first scan at or after a moment."""

    time_ms: int
    writes: tuple[Write, ...]

    def happen(self) -> None:
        """Write it."""
        for array, place, value in self.writes:
            array[place] = value


def due(plan: Plan, upsets: Sequence[Upset], wiring: Wiring, grid: Grid) -> list[Due]:
    """The upsets of a scenario, in their order; the grid must be the run's own."""
    sensors = [found.name for found in plan.inputs.values() if found.measures is not None]
    return [
        Due(
            one.time_ms,
            tuple(_supply(plan, one, grid) if one.number else _sensor(plan, one, wiring, sensors)),
        )
        for one in upsets
    ]


def _sensor(plan: Plan, upset: Upset, wiring: Wiring, sensors: list[str]) -> Iterator[Write]:
    low, high = plan.inputs[upset.of].speaks
    if upset.value is not None:
        low = high = min(max(upset.value, low), high)
    place = (sensors.index(upset.of),)
    yield wiring.sensor_low, place, low
    yield wiring.sensor_high, place, high


def _supply(plan: Plan, upset: Upset, grid: Grid) -> Iterator[Write]:
    supply, value = plan.supplies[upset.of], float(upset.value or 0.0)
    own = [valve for name in plan.circuits for valve in plan.type_of(name).valves.values()]
    for row, valve in enumerate(own):
        if valve.supply == supply.name:
            pressure = upset.number == "pressure"
            place = (row, f.V_P if pressure else f.V_T)
            yield grid.constants.valves, place, value - static_head(supply, valve) if pressure else value
