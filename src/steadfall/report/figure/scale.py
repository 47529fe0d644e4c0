"""Scales, ticks and the words for a moment: where a value stands on the sheet, and which values get a
line.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

TIME_STEPS_MS = (
    *(1, 2, 5, 10, 20, 50, 100, 200, 500),
    *(1_000, 2_000, 5_000, 10_000, 15_000, 30_000),
    *(60_000, 120_000, 300_000, 600_000, 900_000, 1_800_000),
    *(3_600_000, 7_200_000, 14_400_000, 43_200_000, 86_400_000),
)

NEAR = 0.5  # of a step: how far an axis runs on to end at a round value
MARGIN = 0.05  # of the range: how far it runs on otherwise


@frozen
class Scale:
    """A straight map from a range of values to a range of the sheet."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Where the value stands."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def of(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where many values stand."""
        placed: NDArray[np.float64] = self.start + (values - self.low) / (self.high - self.low) * (
            self.end - self.start
        )
        return placed


def step_of(span: float, most: int) -> float:
    """The smallest step of 1, 2 or 5 times a power of ten that cuts the span into fewer than `most` parts."""
    power = 10.0 ** math.floor(math.log10(span / most))
    for factor in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0):
        step = factor * power
        if math.floor(span / step + 1e-9) + 1 <= most:
            return step
    return 100.0 * power


def ticks(low: float, high: float, most: int = 6) -> tuple[float, ...]:
    """Round values from low to high, evenly spaced, at most so many."""
    if not (math.isfinite(low) and math.isfinite(high)) or high <= low:
        return (low,)
    step = step_of(high - low, most)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return tuple(round(index * step, 12) for index in range(first, last + 1))[:most]


def domain(low: float, high: float, most: int = 6) -> tuple[float, float]:
    """The range of an axis: out to the next round values where they are near, else a little further; never
    flat.
    """
    if high - low < 1e-9 * max(1.0, abs(low), abs(high)):
        low, high = low - 0.5, high + 0.5
    step, margin = step_of(high - low, most), MARGIN * (high - low)
    down, up = math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
    return (
        down if low - down <= NEAR * step else low - margin,
        up if up - high <= NEAR * step else high + margin,
    )


def time_ticks(start_ms: float, end_ms: float, most: int = 12) -> tuple[int, ...]:
    """Moments for the time axis: round seconds, minutes or hours, at most so many."""
    span = max(1.0, end_ms - start_ms)
    rank = bisect_left(TIME_STEPS_MS, span / most)
    step = TIME_STEPS_MS[min(rank, len(TIME_STEPS_MS) - 1)]
    while math.floor(span / step) + 1 > most:
        rank += 1
        step = TIME_STEPS_MS[rank] if rank < len(TIME_STEPS_MS) else step * 2
    first = math.ceil(start_ms / step)
    return tuple(index * step for index in range(first, math.floor(end_ms / step) + 1))


def decimals(values: tuple[float, ...]) -> int:
    """How many decimals the labels of an axis need so that no two look alike."""
    gaps = [b - a for a, b in pairwise(values) if b > a]
    if not gaps:
        return 0
    return max(0, -math.floor(math.log10(min(gaps)) + 1e-9))
