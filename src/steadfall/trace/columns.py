"""The trace as a wide table: one row for each record, one column for each signal, in the units people read.

Rule of this file: a column's heading is the signal's name with its unit, `splice [degC]`; a quantity whose
extremes between records are known has two more columns, `low` and `high`; a logic signal has the value it
holds at that moment.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from steadfall.trace.trace import Trace, Track

TIME = "time [s]"


def columns(trace: Trace) -> dict[str, NDArray[Any]]:
    """Every column by its heading, the time first."""
    times = record_times(trace)
    table: dict[str, NDArray[Any]] = {TIME: times / 1000.0}
    for name in sorted(trace.tracks):
        table.update(_columns_of(trace.tracks[name], times))
    return table


def record_times(trace: Trace) -> NDArray[np.int64]:
    """The moments of the rows: those of every sampled quantity; in a trace of logic alone, of every
    change.
    """
    sampled = [track.times_ms for track in trace.tracks.values() if not track.step]
    rows = sampled or [track.times_ms for track in trace.tracks.values()]
    found = np.unique(np.concatenate(rows)) if rows else np.zeros(0, np.int64)
    return np.asarray(found, dtype=np.int64)


def heading(name: str, unit: str, extreme: str = "") -> str:
    """`upper.pressure high [barg]`."""
    words = f"{name} {extreme}".rstrip()
    return f"{words} [{unit}]" if unit else words


def _columns_of(track: Track, times: NDArray[np.int64]) -> Iterator[tuple[str, NDArray[Any]]]:
    if not len(track.times_ms):
        return
    if track.step:
        place = np.searchsorted(track.times_ms, times, side="right") - 1
        yield heading(track.name, track.unit), track.values[np.maximum(place, 0)]
        return
    for extreme, values in (("", track.values), ("low", track.low), ("high", track.high)):
        if values is not None:
            shown = np.asarray(track.reading.of(np.asarray(values, dtype=np.float64)))
            yield heading(track.name, track.reading.unit, extreme), np.interp(times, track.times_ms, shown)
