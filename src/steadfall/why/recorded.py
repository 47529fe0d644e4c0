"""A recorded trace as a history: its inputs are replayed, and the replay is held against what was recorded.

Switch inputs and everything that is logic are exact to the millisecond. What is measured may only be there as samples;
then the replay can part from the record where a comparison was close, and from that moment on nothing is explained.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.logic.trace import Trace, Track
from steadfall.units import scale
from steadfall.why.history import History


@frozen(eq=False)
class Recorded:
    """A history from a trace; the inputs that the trace lacks; where the replay parts from it, if it does."""

    history: History
    missing: tuple[str, ...]
    parted_ms: int | None
    parted_at: str  # the first signal that differs


def recorded(
    network: Network,
    trace: Trace,
    scans_ms: Sequence[int] | None,
    nominal_ms: int,
    units: Mapping[str, str] | None = None,
) -> Recorded:
    """Replay a trace. Without the moments of its scans, one each nominal time and at every change is taken.

    `units` are those in which the controller sees its measured inputs; tracks in SI are converted.
    """
    times = np.array(scans_ms if scans_ms is not None else _scans(trace, nominal_ms), dtype=np.int64)
    missing = tuple(row.name for row in network.inputs if row.name not in trace.tracks)
    columns = [_column(trace, row.name, times, (units or {}).get(row.name, "")) for row in network.inputs]
    rows = np.stack(columns, axis=1) if columns else np.zeros((len(times), 0))
    history = History(network, times, rows)
    return Recorded(history, missing, *_parted(history, trace))


def _scans(trace: Trace, nominal_ms: int) -> Iterable[int]:
    """A scan each nominal time, and one at each change of a logic signal."""
    changed = {when for name, track in trace.tracks.items() if track.step for when, _ in trace.changes(name)}
    moments = sorted({0, *changed})
    found: list[int] = []
    for start, end in zip(moments, [*moments[1:], int(trace.end_ms) + 1], strict=True):
        found.extend(range(start, end, nominal_ms))
    return found


def _column(trace: Trace, name: str, times: NDArray[np.int64], unit: str) -> NDArray[np.float64]:
    if name not in trace.tracks:
        return np.zeros(len(times))
    track = trace.tracks[name]
    if not track.step:
        values = np.interp(times, track.times_ms, track.values)
    else:
        places = np.searchsorted(track.times_ms, times, side="right") - 1
        values = track.values[np.maximum(places, 0)].astype(np.float64)
    return _seen(track, values, unit)


def _seen(track: Track, values: NDArray[np.float64], unit: str) -> NDArray[np.float64]:
    if track.unit not in ("K", "Pa") or not unit:
        return values
    factor, offset = scale(unit)
    return (values - offset) / factor


def _parted(history: History, trace: Trace) -> tuple[int | None, str]:
    """The first scan in which a logic signal of the replay is not as recorded."""
    first, name = len(history), ""
    for row in history.network.assignments:
        track = trace.tracks.get(row.name)
        if track is None or row.type is Type.REAL or not len(track.times_ms):
            continue
        places = np.searchsorted(track.times_ms, history.times_ms, side="right") - 1
        wanted = track.values[np.maximum(places, 0)].astype(np.int64)
        differs = np.flatnonzero((history.column(row.name, first) != wanted[:first]) & (places[:first] >= 0))
        if differs.size:
            first, name = int(differs[0]), row.name
    return (None, "") if not name else (int(history.times_ms[first]), name)
