"""A recorded trace as a history: its inputs are replayed, and the replay is held against what was recorded.

Switch inputs and everything that is logic are exact to the millisecond. What is measured may only be there as
samples, joined by lines; so the logic may see a bound passed some scans sooner or later than it was. Where
the replay parts from the record, the measured inputs of that scan are taken from a neighbouring sample
instead, if that mends it; how often is told. Where it does not, nothing is explained from that moment on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from steadfall.logic.network import Input, Network
from steadfall.logic.nodes import Type
from steadfall.runs.run import Run, Turns, column
from steadfall.trace.trace import Trace, Track
from steadfall.why.scans.history import History

SI = "K", "Pa", "kg/s", "%"
MOST_MENDED = 300  # scans
AsHanded = Callable[[Any], Any]  # what the controller is handed for values in SI


@frozen(eq=False)
class Recorded:
    """A history from a trace; the inputs that the trace lacks; where the replay parts from it, if it does."""

    history: History
    missing: tuple[str, ...]
    mended: int  # scans whose measured inputs were taken from a neighbouring sample
    parted_ms: int | None
    parted_at: str  # the first signal that differs


def recorded(
    network: Network,
    trace: Trace,
    scans_ms: Sequence[int] | None,
    nominal_ms: int,
    handed: Mapping[str, AsHanded] | None = None,
) -> Recorded:
    """Replay a trace. Without the moments of its scans, one each nominal time and at every change is taken.

    `handed` says what the controller is handed by its measured inputs, of which tracks are in SI.
    """
    times = np.array(scans_ms if scans_ms is not None else list(_scans(trace, nominal_ms)), dtype=np.int64)
    missing = tuple(row.name for row in network.inputs if row.name not in trace.tracks)
    handed = handed or {}
    given = {row.name: _given(trace, row, times, handed.get(row.name)) for row in network.inputs}
    inputs = {name: row for name, row in given.items() if row is not None}
    run = Run(np.diff(times, prepend=times[:1]), inputs, begin_ms=int(times[0]) if len(times) else 0)
    sampled = [name for name in inputs if not trace.tracks[name].step]
    return _Mending(network, trace, run, sampled).recorded(missing)


class _Mending:
    """Replays, and mends the scans in which samples were not exact enough."""

    def __init__(self, network: Network, trace: Trace, run: Run, sampled: Sequence[str]) -> None:
        self.network, self.trace, self.sampled = network, trace, list(sampled)
        self.true, self.run = run, run
        self.step = max((_sample_ms(trace, name) for name in sampled), default=0)

    def recorded(self, missing: tuple[str, ...]) -> Recorded:
        """The history, as far as it can be brought to agree with the record."""
        mended = 0
        history = History(self.network, self.run)
        parted = _parted(history, self.trace)
        while parted is not None and self.sampled and mended < MOST_MENDED:
            better = self._neighbour(history, parted[0])
            if better is None:
                break
            mended, (history, parted) = mended + 1, better
        when, name = (int(self.run.times_ms[parted[0]]), parted[1]) if parted else (None, "")
        return Recorded(history, missing, mended, when, name)

    def _neighbour(self, before: History, scan: int) -> tuple[History, tuple[int, str] | None] | None:
        """The replay with the inputs of this scan as they were, or will be, a sample away, where that mends
        it.
        """
        times = self.run.times_ms
        for way in (1, -1):
            there = int(np.clip(np.searchsorted(times, times[scan] + way * self.step), 0, len(times) - 1))
            tried = self._as_in(scan, there)
            history = before.amended(tried, scan)
            parted = _parted(history, self.trace, scan)
            if parted is None or parted[0] > scan:
                self.run = tried
                return history, parted
        return None

    def _as_in(self, scan: int, there: int) -> Run:
        """The run with the samples of another scan in this one."""
        inputs = dict(self.run.inputs)
        for name in self.sampled:
            values = inputs[name].values.copy()
            values[scan] = self.true.inputs[name].values[there]
            inputs[name] = column(values)
        return evolve(self.run, inputs=inputs)


def _sample_ms(trace: Trace, name: str) -> int:
    steps = np.diff(trace.tracks[name].times_ms)
    return int(steps.max()) if steps.size else 0


def _scans(trace: Trace, nominal_ms: int) -> Iterable[int]:
    """A scan each nominal time, and one at each change of a logic signal."""
    changed = {when for name, track in trace.tracks.items() if track.step for when, _ in trace.changes(name)}
    moments = sorted({0, *changed})
    found: list[int] = []
    for start, end in zip(moments, [*moments[1:], int(trace.end_ms) + 1], strict=True):
        found.extend(range(start, end, nominal_ms))
    return found


def _given(trace: Trace, item: Input, times: NDArray[np.int64], handed: AsHanded | None) -> Turns | None:
    """What an input does in each scan, as far as the trace says it."""
    track = trace.tracks.get(item.name)
    if track is None:
        return None
    if not track.step:
        return column(_seen(track, np.interp(times, track.times_ms, track.values), handed))
    places = np.searchsorted(track.times_ms, times, side="right") - 1
    values = _seen(track, track.values[np.maximum(places, 0)].astype(np.float64), handed)
    return column(values.astype(np.bool_) if item.type is Type.BOOL else values).changes()


def _seen(track: Track, values: NDArray[np.float64], handed: AsHanded | None) -> NDArray[np.float64]:
    if track.unit not in SI or handed is None:
        return values
    found: NDArray[np.float64] = handed(values)
    return found


def _parted(history: History, trace: Trace, scan: int = 0) -> tuple[int, str] | None:
    """The first scan in which a logic signal of the replay is not as recorded, and which; None where all
    agree.
    """
    kept = [
        row for row in history.network.assignments if row.type is not Type.REAL and row.name in trace.tracks
    ]
    for start, columns in history.stretches([row.name for row in kept], scan):
        first, name = len(history), ""
        for one, values in columns.items():
            track, times = trace.tracks[one], history.times_ms[start : start + len(values)]
            if not len(track.times_ms):
                continue
            places = np.searchsorted(track.times_ms, times, side="right") - 1
            differs = np.flatnonzero((values != track.values[np.maximum(places, 0)]) & (places >= 0))
            if differs.size and start + differs[0] < first:
                first, name = start + int(differs[0]), one
        if name:
            return first, name
    return None
