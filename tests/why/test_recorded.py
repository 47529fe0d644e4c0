"""A recorded trace, replayed: exact where it is exact, mended where it holds samples, and honest where that
fails.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from attrs import evolve

from steadfall.logic.nodes import Type
from steadfall.plan.meaning.handed import Handed
from steadfall.trace.json import from_json, scans_of, to_json
from steadfall.trace.trace import KINDS, Trace, Track
from steadfall.units import scale
from steadfall.why.scans.recorded import recorded
from tests.why.press import SCAN_MS, history

KEPT = ("upper.mist", "upper.stage", "lower.mist", "lower.stage", "tripped")
HANDED = {"upper.platen_temperature": Handed(*scale("degC")).of, "upper.pressure": Handed(*scale("barg")).of}


def trace() -> Trace:
    """What a recorder of the run by hand would have kept, in the controller's units."""
    run = history()
    count = len(run)
    tracks: dict[str, Track] = {}
    for name in (*run.inputs, *KEPT):
        values: Any = run.column(name, count)
        kind = run.types[name]
        values = values.astype(bool) if kind is Type.BOOL else values
        changed = [0, *(np.flatnonzero(values[1:] != values[:-1]) + 1)]
        tracks[name] = Track(name, KINDS[kind], "", run.times_ms[changed], values[changed])
    return Trace(tracks, int(run.times_ms[-1]))


def sampled(every_ms: int, shift: float = 0.0) -> Trace:
    """The same with the upper temperature falling evenly, known by samples in kelvin, which are off by
    `shift`.
    """
    found = trace()
    times = np.arange(0, found.end_ms + 1, every_ms)
    kelvin = np.interp(times, [0, 75_000, found.end_ms], [418.15, 413.15, 408.15]) + shift
    track = Track("upper.platen_temperature", "real", "K", times, kelvin, step=False)
    return evolve(found, tracks={**found.tracks, "upper.platen_temperature": track})


def test_through_json_it_is_the_same_run() -> None:
    run = history()
    data = to_json(trace(), scans_ms=run.times_ms.tolist())
    found = recorded(run.network, from_json(data), scans_of(data), SCAN_MS)
    assert (found.missing, found.mended, found.parted_ms) == ((), 0, None)
    for name in run.inputs:
        np.testing.assert_array_equal(found.history.column(name, len(run)), run.column(name, len(run)))
    np.testing.assert_array_equal(found.history.times_ms, run.times_ms)


def test_without_its_scans_the_nominal_ones_are_taken() -> None:
    run = history()
    found = recorded(run.network, trace(), None, SCAN_MS)
    np.testing.assert_array_equal(found.history.times_ms, run.times_ms)
    assert found.parted_ms is None


def test_samples_that_pass_a_bound_a_little_late_are_mended() -> None:
    found = recorded(history().network, sampled(500, shift=0.01), None, SCAN_MS, HANDED)
    assert found.parted_ms is None
    assert 1 <= found.mended <= 20


def test_samples_that_are_wrong_are_not() -> None:
    found = recorded(history().network, sampled(500, shift=5.0), None, SCAN_MS, HANDED)
    assert (found.parted_ms, found.parted_at) == (75_000, "upper.stage")


def test_what_is_missing_is_named() -> None:
    whole = trace()
    less = evolve(whole, tracks={name: one for name, one in whole.tracks.items() if name != "full_call"})
    found = recorded(history().network, less, None, SCAN_MS)
    assert found.missing == ("full_call",)
    assert found.parted_ms == 8_000
