"""A trace goes through JSON unchanged."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from steadfall.trace.columns import columns
from steadfall.trace.json import TraceError, from_json, scans_of, to_json
from steadfall.trace.trace import Trace, Track


def a_trace() -> Trace:
    times = np.array([0, 20, 500])
    numbers = np.array([1.5, np.nan, np.inf])
    tracks = [
        Track("full_call", "bool", "", times, np.array([False, True, False])),
        Track("upper.stage", "int", "", times, np.array([0, 3, 1])),
        Track("hold", "time", "", times, np.array([0, 2**53, -1])),
        Track("splice", "real", "K", times, numbers, numbers - 1.0, numbers + 0.1, step=False),
        Track("shock", "real", "K", times, numbers, step=False, dimension="temperature_difference"),
        Track("strained", "real", "Pa", times, numbers, step=False, dimension="stress"),
    ]
    return Trace({track.name: track for track in tracks}, 520)


def test_there_and_back() -> None:
    trace = a_trace()
    data = json.loads(json.dumps(to_json(trace, scans_ms=[0, 20, 40], digest="abc"), allow_nan=False))
    back = from_json(data)
    assert (back.end_ms, scans_of(data), data["digest"]) == (520, (0, 20, 40), "abc")
    assert list(back.tracks) == list(trace.tracks)
    for name, track in trace.tracks.items():
        twin = back.tracks[name]
        assert (twin.kind, twin.unit, twin.step) == (track.kind, track.unit, track.step)
        assert (twin.dimension, twin.reading) == (track.dimension, track.reading)
        for end in ("times_ms", "values", "low", "high"):
            one, two = getattr(track, end), getattr(twin, end)
            assert (one is None) == (two is None)
            if one is not None:
                np.testing.assert_array_equal(one, two)
                assert one.dtype == two.dtype


def test_a_file_without_dimensions_is_read_by_its_units_alone() -> None:
    old = to_json(a_trace())
    for row in old["tracks"]:
        del row["dimension"]
    back = from_json(old)
    assert [back.tracks[name].reading.unit for name in ("splice", "shock", "strained")] == [
        "degC",
        "degC",
        "barg",
    ]
    assert {f"{name} [{unit}]" for name, unit in (("splice", "degC"), ("shock", "degC"))} <= set(
        columns(back)
    )


def test_a_dimension_in_another_unit_is_no_track() -> None:
    data = to_json(a_trace())
    data["tracks"][3]["dimension"] = "pressure"
    with pytest.raises(TraceError, match="a pressure is not in K"):
        from_json(data)


def test_scans_may_be_unknown() -> None:
    assert scans_of(to_json(a_trace())) is None


EMPTY = {"name": "a", "unit": "", "step": True, "times_ms": [], "values": []}


@pytest.mark.parametrize(
    ("spoilt", "amiss"),
    [
        ({}, "'tracks' is missing"),
        ({"tracks": []}, "'end_ms' is missing"),
        ({"end_ms": 3, "tracks": [{"name": "a"}]}, "'kind' is missing"),
        ({"end_ms": 3, "tracks": [{**EMPTY, "kind": "colour"}]}, "no such kind of track: colour"),
        ({"end_ms": 3, "tracks": [{**EMPTY, "kind": "int", "times_ms": [1]}]}, "1 times and 0 values"),
        ({"end_ms": 3, "tracks": 7}, "not iterable"),
        ([], "not a list"),
    ],
)
def test_what_is_amiss_is_said(spoilt: Any, amiss: str) -> None:
    with pytest.raises(TraceError, match=amiss):
        from_json(spoilt)
