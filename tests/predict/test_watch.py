"""Limits and goals, judged on hand-made courses whose worst value and moment are known beforehand."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from steadfall.plan.model import Goal, Limit
from steadfall.plan.read.whole import read_text
from steadfall.plan.starter import starter
from steadfall.predict.watch import Watch, watch, watch_goals, watch_limits
from tests.examples import plain

PRESS = read_text(starter("press"), "press.yaml")


def limit(
    measure: str = "value",
    bound: str = "at_most",
    window: float = 0.0,
    between: tuple[float, float] | None = None,
) -> Limit:
    return Limit("x", measure, bound, 0.0, window, between, "")


def run(
    course: Sequence[float] | NDArray[Any],
    limits: Sequence[Limit] = (),
    goals: Sequence[Goal] = (),
    scan: float = 0.02,
) -> tuple[Watch, int | None]:
    """Watch one quantity through values at multiples of the scan; returns the watch and when all goals were
    reached.
    """
    plan = evolve(PRESS, limits=tuple(limits), goals=tuple(goals))
    watched = watch(plan, ("x",), np.array([course[0]], dtype=float), scan)
    done = None
    for k, value in enumerate(course):
        ms = round(1000 * scan * k)
        watch_limits(watched, np.array([value], dtype=float), ms)
        if watch_goals(watched, np.array([value], dtype=float), ms) and done is None:
            done = ms
    return watched, done


def test_the_worst_value_and_its_moment() -> None:
    watched, _ = run([1.0, 3.0, 7.0, 5.0], [limit(), limit(bound="at_least")])
    assert list(watched.limit_worst) == [7.0, 1.0]
    assert list(watched.limit_ms) == [40, 0]


def test_a_limit_applies_only_between_its_levels() -> None:
    watched, _ = run([10.0, 8.0, 6.0, 2.0], [limit(between=(7.0, 3.0)), limit(between=(100.0, 50.0))])
    assert watched.limit_worst[0] == 6.0
    assert watched.limit_ms[1] == -1  # never applied


@pytest.mark.parametrize("window", [1.0, 60.0])
@pytest.mark.parametrize("scan", [0.02, 0.05])
def test_a_steady_fall_has_its_rate(window: float, scan: float) -> None:
    course = 500.0 - 0.05 * scan * np.arange(int(2 * window / scan))
    watched, _ = run(course, [limit("fall_rate", window=window)], scan=scan)
    assert watched.limit_worst[0] == pytest.approx(0.05, rel=1e-9)


def test_a_fall_within_the_window_counts_by_its_share() -> None:
    """1 K in one step within a window of 1 s is 1 K/s, whenever it happens; after the window it is gone."""
    course = np.where(np.arange(200) < 100, 400.0, 399.0)
    watched, _ = run(course, [limit("fall_rate", window=1.0)])
    assert watched.limit_worst[0] == pytest.approx(1.0)
    assert watched.limit_ms[0] == 2000


def test_before_the_start_the_value_is_taken_as_steady() -> None:
    """Falling at 1 K/s from the start, half a window shows half the rate."""
    watched, _ = run(400.0 - 0.02 * np.arange(26), [limit("fall_rate", window=1.0)])
    assert watched.limit_worst[0] == pytest.approx(0.5)


@given(st.lists(st.integers(20, 40), min_size=200, max_size=400))
def test_scans_of_uneven_length_do_not_change_a_steady_rate(lengths: list[int]) -> None:
    plan = evolve(PRESS, limits=(limit("fall_rate", window=1.0),), goals=())
    watched = watch(plan, ("x",), np.array([500.0]), 0.02)
    ms = 0
    for length in lengths:
        ms += length
        watch_limits(watched, np.array([500.0 - 0.3 * ms / 1000]), ms)
    assert watched.limit_worst[0] == pytest.approx(0.3, rel=1e-9)


def test_goals_are_reached_once_and_the_last_one_ends_it() -> None:
    goals = [Goal("x", "below", 5.0, 1.0, ""), Goal("x", "below", 2.0, 1.0, "")]
    watched, done = run([9.0, 4.0, 6.0, 2.0, 1.0], goals=goals)
    assert list(watched.goal_reached_ms) == [20, 60]
    assert done == 60
    assert list(watched.goal_nearest) == [1.0, 1.0]


def test_a_goal_not_reached_keeps_the_nearest_value() -> None:
    watched, done = run([1.0, 4.0, 3.0], goals=[Goal("x", "above", 5.0, 1.0, "")])
    assert (watched.goal_reached_ms[0], done) == (-1, None)
    assert (watched.goal_nearest[0], watched.goal_nearest_ms[0]) == (4.0, 20)


def test_without_goals_nothing_is_ever_reached() -> None:
    _, done = run([1.0, 2.0])
    assert done is None


def test_uncompiled_is_the_same() -> None:
    course = 400.0 - np.cumsum(np.abs(np.sin(np.arange(120))))
    plan = evolve(
        PRESS, limits=(limit("fall_rate", window=1.0), limit()), goals=(Goal("x", "below", 350.0, 1.0, ""),)
    )
    results = []
    for limits_of, goals_of in ((watch_limits, watch_goals), (plain(watch_limits), plain(watch_goals))):
        watched = watch(plan, ("x",), course[:1].copy(), 0.02)
        for k, value in enumerate(course):
            limits_of(watched, np.array([value]), 20 * k)
            goals_of(watched, np.array([value]), 20 * k)
        results.append(watched)
    for a, b in zip(*results, strict=True):
        assert np.array_equal(a, b)
    assert math.isfinite(results[0].limit_worst[0])
