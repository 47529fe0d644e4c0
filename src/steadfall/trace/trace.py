"""Named signals over time: what a scan run, a prediction, a recording and a counterexample all are.

Rule of this file: times are whole milliseconds from the start and never fall; a track that steps holds its
value until its next time, any other is a row of samples to be joined by lines.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from attrs import define, evolve, field, frozen
from numpy.typing import NDArray

from steadfall.logic.nodes import Type, Value
from steadfall.quantities import READINGS, Reading, reading

KINDS: Mapping[Type, str] = {Type.BOOL: "bool", Type.INT: "int", Type.TIME: "time", Type.REAL: "real"}
_ARRAYS: Mapping[str, type] = {"bool": np.bool_, "int": np.int64, "time": np.int64, "real": np.float64}


@frozen(eq=False)
class Track:
    """One signal over time; `low` and `high` are its extremes up to each sample, where they are known."""

    name: str
    kind: str  # "bool", "int", "time" (ms) or "real"
    unit: str  # SI, or "" for what has none
    times_ms: NDArray[np.int64]
    values: NDArray[Any]
    low: NDArray[Any] | None = None
    high: NDArray[Any] | None = None
    step: bool = True
    dimension: str = ""  # of a real one, as in `quantities.READINGS`; "" where it is not said

    @property
    def reading(self) -> Reading:
        """How a person reads it; the unit alone decides where no dimension is said."""
        return reading(self.dimension, self.unit)

    def __attrs_post_init__(self) -> None:
        if self.kind not in _ARRAYS:
            raise ValueError(f"'{self.name}': no such kind of track: {self.kind}")
        for row in (self.values, self.low, self.high):
            if row is not None and len(row) != len(self.times_ms):
                raise ValueError(f"'{self.name}': {len(self.times_ms)} times and {len(row)} values")
        if self.dimension in READINGS and READINGS[self.dimension].si != self.unit:
            raise ValueError(f"'{self.name}': a {self.dimension} is not in {self.unit or 'no unit'}")
        if np.any(np.diff(self.times_ms) < 0):
            raise ValueError(f"'{self.name}': time runs backwards")

    def at(self, t_ms: float) -> Any:
        """The value at a moment; before the first time, the first value."""
        if not len(self.times_ms):
            raise ValueError(f"'{self.name}' is empty")
        if not self.step:
            return float(np.interp(t_ms, self.times_ms, self.values))
        place = int(np.searchsorted(self.times_ms, t_ms, side="right")) - 1
        return self.values[max(place, 0)].item()


@frozen(eq=False)
class Trace:
    """Signals by name, from 0 to the end."""

    tracks: Mapping[str, Track]
    end_ms: int

    def at(self, name: str, t_ms: float) -> Any:
        """A signal's value at a moment."""
        return self.tracks[name].at(t_ms)

    def changes(self, name: str) -> list[tuple[int, Any]]:
        """When a signal took which value: its first value, then each value that differs from the one
        before.
        """
        track = self.tracks[name]
        if not len(track.times_ms):
            return []
        places = [0, *(int(place) for place in np.flatnonzero(track.values[1:] != track.values[:-1]) + 1)]
        return [(int(track.times_ms[place]), track.values[place].item()) for place in places]

    def openings(self, name: str) -> list[tuple[int, int]]:
        """Start and end of every stretch in which a true/false signal is true; one still true ends with the
        trace.
        """
        found: list[tuple[int, int]] = []
        begun: int | None = None
        for when, value in self.changes(name):
            if value and begun is None:
                begun = when
            elif not value and begun is not None:
                found.append((begun, when))
                begun = None
        return found if begun is None else [*found, (begun, self.end_ms)]

    def slice(self, t0: int, t1: int) -> Trace:
        """What lies between two moments, on the same clock; every track has a value at the first."""
        return Trace({name: _cut(track, t0, t1) for name, track in self.tracks.items()}, min(t1, self.end_ms))


def _cut(track: Track, t0: int, t1: int) -> Track:
    first, last = (int(place) for place in np.searchsorted(track.times_ms, [t0, t1], side="right"))
    if first == 0:  # nothing is known before the first time
        return evolve(track, **{name: row[:last] for name, row in _rows(track).items()})
    edge = np.array([track.at(t0)], dtype=track.values.dtype)
    rows: dict[str, Any] = {
        name: np.concatenate([edge, row[first:last]]) for name, row in _rows(track).items()
    }
    rows["times_ms"] = np.concatenate([[t0], track.times_ms[first:last]])
    return evolve(track, **rows)


def _rows(track: Track) -> dict[str, Any]:
    rows = {"times_ms": track.times_ms, "values": track.values, "low": track.low, "high": track.high}
    return {name: row for name, row in rows.items() if row is not None}


@define
class Recorder:
    """Takes signals scan by scan and keeps what changes."""

    types: Mapping[str, Type]
    rows: dict[str, list[tuple[int, Value]]] = field(factory=dict)
    end_ms: int = 0

    def take(self, t_ms: int, values: Mapping[str, Value]) -> None:
        """The values after a scan at this moment."""
        self.end_ms = t_ms
        for name in self.types:
            kept = self.rows.setdefault(name, [])
            if not kept or kept[-1][1] != values[name]:
                kept.append((t_ms, values[name]))

    def trace(self) -> Trace:
        """What was taken, as a trace."""
        return Trace(
            {name: _track(name, KINDS[kind], self.rows.get(name, ())) for name, kind in self.types.items()},
            self.end_ms,
        )


def _track(name: str, kind: str, rows: Iterable[tuple[int, Value]]) -> Track:
    pairs = list(rows)
    times = np.array([when for when, _ in pairs], dtype=np.int64)
    return Track(name, kind, "", times, np.array([value for _, value in pairs], dtype=_ARRAYS[kind]))
