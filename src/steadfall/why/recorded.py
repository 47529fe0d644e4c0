"""A recorded trace as a history: its inputs are replayed, and the replay is held against what was recorded.

Switch inputs and everything that is logic are exact to the millisecond. What is measured may only be there as
samples, joined by lines; so the logic may see a bound passed some scans sooner or later than it was. Where
the replay parts from the record, the measured inputs of that scan are taken from a neighbouring sample
instead, if that mends it; how often is told. Where it does not, nothing is explained from that moment on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.trace.trace import Trace, Track
from steadfall.units import scale
from steadfall.why.history import History

MOST_MENDED = 300  # scans


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
    units: Mapping[str, str] | None = None,
) -> Recorded:
    """Replay a trace. Without the moments of its scans, one each nominal time and at every change is taken.

    `units` are those in which the controller sees its measured inputs; tracks in SI are converted.
    """
    times = np.array(scans_ms if scans_ms is not None else _scans(trace, nominal_ms), dtype=np.int64)
    missing = tuple(row.name for row in network.inputs if row.name not in trace.tracks)
    columns = [_column(trace, row.name, times, (units or {}).get(row.name, "")) for row in network.inputs]
    rows = np.stack(columns, axis=1) if columns else np.zeros((len(times), 0))
    sampled = [place for place, row in enumerate(network.inputs) if _is_sampled(trace, row.name)]
    return _Mending(network, trace, times, rows, sampled).recorded(missing)


def _is_sampled(trace: Trace, name: str) -> bool:
    return name in trace.tracks and not trace.tracks[name].step


class _Mending:
    """Replays, and mends the scans in which samples were not exact enough."""

    def __init__(
        self,
        network: Network,
        trace: Trace,
        times: NDArray[np.int64],
        rows: NDArray[np.float64],
        sampled: Sequence[int],
    ) -> None:
        self.network, self.trace, self.times, self.sampled = network, trace, times, list(sampled)
        self.true, self.rows = rows, rows.copy()
        self.step = max((_sample_ms(trace, network.inputs[place].name) for place in sampled), default=0)

    def recorded(self, missing: tuple[str, ...]) -> Recorded:
        """The history, as far as it can be brought to agree with the record."""
        mended = 0
        history = History(self.network, self.times, self.rows)
        parted = _parted(history, self.trace)
        while parted is not None and self.sampled and mended < MOST_MENDED:
            better = self._neighbour(history, parted[0])
            if better is None:
                break
            mended, (history, parted) = mended + 1, better
        when, name = (int(self.times[parted[0]]), parted[1]) if parted else (None, "")
        return Recorded(history, missing, mended, when, name)

    def _neighbour(self, before: History, scan: int) -> tuple[History, tuple[int, str] | None] | None:
        """The replay with the inputs of this scan as they were, or will be, a sample away, where that mends
        it.
        """
        kept = self.rows[scan].copy()
        for way in (1, -1):
            moment = self.times[scan] + way * self.step
            there = int(np.clip(np.searchsorted(self.times, moment), 0, len(self.times) - 1))
            self.rows[scan, self.sampled] = self.true[there, self.sampled]
            history = before.amended(self.rows.copy(), scan)
            parted = _parted(history, self.trace, scan)
            if parted is None or parted[0] > scan:
                return history, parted
        self.rows[scan] = kept
        return None


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
