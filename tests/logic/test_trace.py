"""Signals over time: values at moments, changes, openings, cuts."""

import numpy as np
import pytest

from steadfall.logic.nodes import Type
from steadfall.trace.trace import Recorder, Trace, Track


def trace() -> Trace:
    valve = Track("v", "bool", "", np.array([0, 20, 40, 90]), np.array([False, True, False, True]))
    heat = Track(
        "q", "real", "W", np.array([0, 100]), np.array([0.0, 10.0]), np.array([0.0, -1.0]), step=False
    )
    return Trace({"v": valve, "q": heat}, 120)


def test_a_step_holds_and_samples_are_joined() -> None:
    assert [trace().at("v", t) for t in (-5, 0, 19, 20, 39, 40, 500)] == [
        False,
        False,
        False,
        True,
        True,
        False,
        True,
    ]
    assert trace().at("q", 25) == 2.5


def test_changes_and_openings() -> None:
    assert trace().changes("v") == [(0, False), (20, True), (40, False), (90, True)]
    assert trace().openings("v") == [(20, 40), (90, 120)]
    twice = Trace({"v": Track("v", "bool", "", np.array([5, 10, 30]), np.array([True, True, False]))}, 50)
    assert twice.changes("v") == [(5, True), (30, False)]
    assert twice.openings("v") == [(5, 30)]
    empty = Trace({"v": Track("v", "bool", "", np.array([], np.int64), np.array([], bool))}, 50)
    assert empty.changes("v") == []
    assert empty.openings("v") == []


def test_a_cut_keeps_the_clock_and_begins_with_a_value() -> None:
    cut = trace().slice(30, 100)
    assert cut.end_ms == 100
    assert cut.changes("v") == [(30, True), (40, False), (90, True)]
    assert cut.openings("v") == [(30, 40), (90, 100)]
    assert cut.at("q", 30) == 3.0
    assert cut.tracks["q"].low is not None
    assert list(cut.tracks["q"].times_ms) == [30, 100]
    assert trace().slice(-10, 30).changes("v") == [(0, False), (20, True)]


def test_a_track_that_means_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="backwards"):
        Track("v", "bool", "", np.array([1, 0]), np.array([True, False]))
    with pytest.raises(ValueError, match="2 times and 1 values"):
        Track("v", "bool", "", np.array([0, 1]), np.array([True]))
    with pytest.raises(ValueError, match="no such kind"):
        Track("v", "text", "", np.array([0]), np.array([True]))


def test_a_recorder_keeps_changes() -> None:
    kept = Recorder({"v": Type.BOOL, "n": Type.INT})
    for t, v, n in ((0, False, 1), (10, False, 2), (20, True, 2)):
        kept.take(t, {"v": v, "n": n, "other": 7})
    assert kept.trace().changes("v") == [(0, False), (20, True)]
    assert kept.trace().changes("n") == [(0, 1), (10, 2)]
    assert kept.trace().end_ms == 20
