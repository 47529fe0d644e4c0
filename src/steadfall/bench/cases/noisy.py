"""A plant whose sensors scatter, as the plan says of each.

Rule of this file: the plant and all that the plan says of it stay as they are; only what the controller is
handed is disturbed. Each sensor has draws of its own, so that one more changes nothing of the others.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from steadfall.logic.nodes import Value
from steadfall.plan.meaning.handed import handed_by, whole_type
from steadfall.plan.model import Input, Plan
from steadfall.predict.inputs.scenario import Course
from steadfall.predict.stepper import Stepper


class Noisy(Stepper):
    """A stepper whose sensors with noise show a normal disturbance too, drawn anew each time it is asked."""

    def __init__(self, plan: Plan, scenario: str | Course | None = None, seed: int = 1) -> None:
        super().__init__(plan, scenario)
        self._noise = [
            (place, item, random.Random(f"{seed} {item.name}"))
            for place, item in enumerate(plan.inputs.values())
            if item.noise
        ]

    def sense(self) -> dict[str, Value]:
        """What the controller is shown now, with its noise."""
        return {**super().sense(), **dict(self._disturbed())}

    def _disturbed(self) -> Iterator[tuple[str, Value]]:
        """A sensor that stands still, shows what it is told, or is beyond its range, scatters no more."""
        wiring = self.run.wiring
        for place, item, draws in self._noise:
            off = draws.gauss(0.0, item.noise)
            low, high = wiring.sensor_low[place], wiring.sensor_high[place]
            value = float(wiring.sensor_value[place] + wiring.sensor_away[place])
            if low < high and item.low <= value <= item.high:
                yield item.name, _handed(item, min(max(value + off, item.low), item.high))


def _handed(item: Input, value: float) -> float:
    """A value, SI, as the controller is handed it; counts are whole."""
    handed = float(handed_by(item).of(value))
    return float(round(handed)) if whole_type(item) else handed
