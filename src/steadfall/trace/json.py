"""A Trace as JSON and back, exactly; with the moments of the scans it came from, where they are known.

    {"steadfall": 1, "end_ms": 400, "scans_ms": [0, 20, ...] or null, "digest": "SHA-256 of the plan's text"
    or "",
     "tracks": [{"name", "kind", "unit", "dimension", "step", "times_ms", "values", "low", "high"}, ...]}

A track whose dimension is not said, or "", is read by its unit alone, as files from before it was said are.
A number that JSON has no word for is written as text: "nan", "inf", "-inf".
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from steadfall.trace.trace import KINDS, Trace, Track

_ARRAYS = {"bool": np.bool_, "int": np.int64, "time": np.int64, "real": np.float64}


class TraceError(ValueError):
    """JSON that is not a trace; the message says what is amiss."""


def to_json(trace: Trace, *, scans_ms: Sequence[int] | None = None, digest: str = "") -> dict[str, Any]:
    """A trace in stable names; `scans_ms` are the moments of its scans, `digest` names the plan."""
    return {
        "steadfall": 1,
        "end_ms": int(trace.end_ms),
        "scans_ms": None if scans_ms is None else [int(when) for when in scans_ms],
        "digest": digest,
        "tracks": [_track_json(track) for track in trace.tracks.values()],
    }


def from_json(data: Mapping[str, Any]) -> Trace:
    """The trace that `to_json` wrote.

    Raises TraceError when it is not one.
    """
    if not isinstance(data, Mapping):
        raise TraceError(f"an object with 'tracks' was expected, not a {type(data).__name__}")
    try:
        tracks = [_track(row) for row in data["tracks"]]
        return Trace({track.name: track for track in tracks}, int(data["end_ms"]))
    except KeyError as error:
        raise TraceError(f"{error} is missing") from error
    except (TypeError, ValueError) as error:
        raise TraceError(str(error)) from error


def scans_of(data: Mapping[str, Any]) -> tuple[int, ...] | None:
    """The moments of the scans, where the trace says them."""
    scans = data.get("scans_ms")
    return None if scans is None else tuple(int(when) for when in scans)


def _track_json(track: Track) -> dict[str, Any]:
    return {
        "name": track.name,
        "kind": track.kind,
        "unit": track.unit,
        "dimension": track.dimension,
        "step": track.step,
        "times_ms": track.times_ms.tolist(),
        "values": _said(track.values),
        "low": None if track.low is None else _said(track.low),
        "high": None if track.high is None else _said(track.high),
    }


def _said(values: Any) -> list[Any]:
    return [str(one) if isinstance(one, float) and not math.isfinite(one) else one for one in values.tolist()]


def _track(row: Mapping[str, Any]) -> Track:
    if row["kind"] not in KINDS.values():
        raise TraceError(f"'{row['name']}': no such kind of track: {row['kind']}")
    low, high = (None if row.get(end) is None else _array(row, row[end]) for end in ("low", "high"))
    times = np.array(row["times_ms"], dtype=np.int64)
    return Track(
        name=row["name"],
        kind=row["kind"],
        unit=row["unit"],
        times_ms=times,
        values=_array(row, row["values"]),
        low=low,
        high=high,
        step=bool(row["step"]),
        dimension=str(row.get("dimension") or ""),
    )


def _array(row: Mapping[str, Any], values: Sequence[Any]) -> Any:
    read = float if row["kind"] == "real" else bool if row["kind"] == "bool" else int
    return np.array([read(one) for one in values], dtype=_ARRAYS[row["kind"]])
