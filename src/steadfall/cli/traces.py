"""Traces from files: JSON as a proof writes it, or `events.csv` of a prediction with the `trace.csv` beside it."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np
from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.logic.trace import KINDS, Trace, Track
from steadfall.logic.trace_json import TraceError, from_json, scans_of
from steadfall.source import OutsideError
from steadfall.units import scale


@frozen
class TraceFile:
    """A trace, the moments of its scans where the file says them, and the digest of its plan ("" if not said)."""

    trace: Trace
    scans_ms: tuple[int, ...] | None
    digest: str


def read_trace(path: Path, network: Network) -> TraceFile:
    """Read a trace; what is no trace is a sentence."""
    try:
        if path.suffix == ".json":
            data = json.loads(path.read_text(encoding="utf-8"))
            found = data.get("trace", data) if isinstance(data, dict) else data
            return TraceFile(from_json(found), scans_of(found), str(found.get("digest", "")))
        return TraceFile(_events(path, network), None, "")
    except (TraceError, ValueError, KeyError, AttributeError) as error:
        raise OutsideError(f"{path} is not a trace: {error}") from error
    except OSError as error:
        raise OutsideError(f"cannot read {path}: {error.strerror or error}") from error


def _events(path: Path, network: Network) -> Trace:
    types, rows = network.types, dict[str, list[tuple[int, float]]]()
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            rows.setdefault(row["signal"], []).append((round(1000 * float(row["time [s]"])), float(row["value"])))
    if not rows:
        raise TraceError("it has no events (columns: time [s], signal, value)")
    tracks = {name: _track(name, types[name], pairs) for name, pairs in rows.items() if name in types}
    end = max(when for pairs in rows.values() for when, _ in pairs)
    samples = path.with_name("trace.csv")
    if samples.exists():
        measured = {row.name for row in network.inputs if row.type is Type.REAL}
        found = {track.name: track for track in _samples(samples) if track.name in measured}
        end = max([end, *(int(track.times_ms[-1]) for track in found.values())])
        tracks |= found
    return Trace(tracks, end)


def _track(name: str, kind: Type, pairs: Iterable[tuple[int, float]]) -> Track:
    rows = list(pairs)
    times = np.array([when for when, _ in rows], dtype=np.int64)
    values = np.array([value for _, value in rows])
    return Track(name, KINDS[kind], "", times, values.astype(bool) if kind is Type.BOOL else values.astype(np.int64))


def _samples(path: Path) -> Iterable[Track]:
    """Every column that is measured, back in SI."""
    with path.open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    head, rows = lines[0], np.array(lines[1:], dtype=np.float64)
    times = np.rint(1000 * rows[:, 0]).astype(np.int64)
    for place, heading in enumerate(head[1:], 1):
        name, _, unit = heading.removesuffix("]").partition(" [")
        if SI.get(unit):
            factor, offset = scale(unit)
            yield Track(name, "real", SI[unit], times, rows[:, place] * factor + offset, step=False)
        else:
            yield Track(name, "real", unit, times, rows[:, place], step=False)


SI: Mapping[str, str] = {"degC": "K", "barg": "Pa"}
