"""Limits and goals as arrays, watched by the loop at every scan.

A fall rate is the drop over a sliding window divided by the window: (x(t - w) - x(t)) / w, with the value
before the start taken as steady; a rise rate is its negative. A window is kept as a ring of at most `RING`
samples, each with its moment; a window of fewer scans than that keeps one sample a scan.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import kernel
from steadfall.plan.model import Plan

RING = 60
SIGN = {"value": 0, "fall_rate": 1, "rise_rate": -1}  # of how a limit measures


class Watch(NamedTuple):
    """Limits first, goals after them; one row each."""

    limit_of: NDArray[np.int64]  # index into the observed quantities
    limit_rate: NDArray[np.int64]  # 1: fall rate, -1: rise rate, 0: value
    limit_least: NDArray[np.int64]  # 1: at least, 0: at most
    limit_upper: NDArray[np.float64]  # applies between lower and upper
    limit_lower: NDArray[np.float64]
    limit_window: NDArray[np.float64]  # s
    limit_worst: NDArray[np.float64]
    limit_ms: NDArray[np.int64]  # moment of the worst, -1: never applied
    ring: NDArray[np.float64]  # limits x RING, values
    ring_ms: NDArray[np.float64]  # limits x RING, their moments
    ring_size: NDArray[np.int64]  # samples in use
    ring_place: NDArray[np.int64]  # oldest sample of each ring
    ring_due: NDArray[np.float64]  # when the next sample is due, s
    goal_of: NDArray[np.int64]
    goal_above: NDArray[np.int64]  # 1: above, 0: below
    goal_value: NDArray[np.float64]
    goal_nearest: NDArray[np.float64]
    goal_nearest_ms: NDArray[np.int64]
    goal_reached_ms: NDArray[np.int64]  # -1: not yet


def watch(plan: Plan, observed: tuple[str, ...], start: NDArray[np.float64], scan: float) -> Watch:
    """The limits and goals of a plan, ready to watch at every `scan` s; `start` holds the observed quantities
    at 0.
    """
    place = {name: index for index, name in enumerate(observed)}
    limits, goals = plan.limits, plan.goals
    limit_of = np.array([place[limit.of] for limit in limits], dtype=np.int64)
    between = [limit.between or (np.inf, -np.inf) for limit in limits]
    least = np.array([limit.bound == "at_least" for limit in limits], dtype=np.int64)
    goal_of = np.array([place[goal.of] for goal in goals], dtype=np.int64)
    window = np.array([limit.window for limit in limits], dtype=np.float64)
    size = np.clip(window / scan + 1e-9, 1, RING).astype(np.int64)
    above = np.array([goal.bound == "above" for goal in goals], dtype=np.int64)
    return Watch(
        limit_of=limit_of,
        limit_rate=np.array([SIGN[limit.measure] for limit in limits], dtype=np.int64),
        limit_least=least,
        limit_upper=np.array([max(pair) for pair in between], dtype=np.float64),
        limit_lower=np.array([min(pair) for pair in between], dtype=np.float64),
        limit_window=window,
        limit_worst=np.where(least == 1, np.inf, -np.inf),
        limit_ms=np.full(len(limits), -1, dtype=np.int64),
        ring=np.repeat(start[limit_of][:, None], RING, axis=1),
        ring_ms=(np.arange(RING)[None, :] / size[:, None] - 1) * 1000 * window[:, None],
        ring_size=size,
        ring_place=np.zeros(len(limits), dtype=np.int64),
        ring_due=np.zeros(len(limits)),
        goal_of=goal_of,
        goal_above=above,
        goal_value=np.array([goal.value for goal in goals], dtype=np.float64),
        goal_nearest=np.where(above == 1, -np.inf, np.inf),
        goal_nearest_ms=np.zeros(len(goals), dtype=np.int64),
        goal_reached_ms=np.full(len(goals), -1, dtype=np.int64),
    )


@kernel
def watch_limits(watch: Watch, observed: NDArray[np.float64], ms: int) -> None:
    """Compare every limit with the present values; keep the worst and its moment."""
    for i in range(watch.limit_of.size):
        value = observed[watch.limit_of[i]]
        inside = watch.limit_lower[i] <= value <= watch.limit_upper[i]
        measured = value
        if watch.limit_rate[i] != 0:
            if ms / 1000.0 < watch.ring_due[i] - 1e-9:
                continue
            place = watch.ring_place[i]
            oldest = watch.ring[i, place]
            elapsed = (ms - watch.ring_ms[i, place]) / 1000.0
            inside = inside and watch.limit_lower[i] <= oldest <= watch.limit_upper[i]
            watch.ring[i, place] = value
            watch.ring_ms[i, place] = ms
            watch.ring_place[i] = (place + 1) % watch.ring_size[i]
            watch.ring_due[i] += watch.limit_window[i] / watch.ring_size[i]
            measured = watch.limit_rate[i] * (oldest - value) / max(elapsed, 1e-3)
        worse = (
            measured < watch.limit_worst[i] if watch.limit_least[i] == 1 else measured > watch.limit_worst[i]
        )
        if inside and worse:
            watch.limit_worst[i] = measured
            watch.limit_ms[i] = ms


@kernel
def watch_goals(watch: Watch, observed: NDArray[np.float64], ms: int) -> bool:
    """Compare every goal with the present values; true once every goal has been reached (never without
    goals).
    """
    waiting = watch.goal_of.size == 0
    for i in range(watch.goal_of.size):
        value = observed[watch.goal_of[i]]
        above = watch.goal_above[i] == 1
        if (value > watch.goal_nearest[i]) if above else (value < watch.goal_nearest[i]):
            watch.goal_nearest[i] = value
            watch.goal_nearest_ms[i] = ms
        there = value >= watch.goal_value[i] if above else value <= watch.goal_value[i]
        if there and watch.goal_reached_ms[i] < 0:
            watch.goal_reached_ms[i] = ms
        waiting = waiting or watch.goal_reached_ms[i] < 0
    return not waiting
