"""Traces from files: JSON as a proof writes it, or `events.csv` of a prediction with the `trace.csv` beside
it.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.quantities import dimension_shown_in, reading
from steadfall.source import AskError, OutsideError
from steadfall.trace.json import TraceError, from_json, scans_of
from steadfall.trace.trace import KINDS, Trace, Track
from steadfall.units import scale


@frozen
class TraceFile:
    """A trace, the moments of its scans where the file says them, and the digest of its plan ("" if not
    said).
    """

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


def stored_runs(path: Path) -> dict[str, Any] | None:
    """What a stored proof holds, where the file is one."""
    if path.suffix != ".json":
        return None
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) and "requirements" in data else None


def stored_run(path: Path, data: Mapping[str, Any], only: str | None) -> Mapping[str, Any]:
    """The stored violation of one requirement in a stored proof: of the named one, or of the only one that is
    broken.
    """
    broken = {row["name"]: row["trace"] for row in data["requirements"] if row["trace"]}
    names = ", ".join(broken) or "none"
    if only is None and len(broken) != 1:
        raise AskError(f"--only NAME says which broken requirement of {path}: {names}")
    name = only or next(iter(broken))
    if name not in broken:
        raise AskError(f"--only: {path} holds no run that breaks '{name}'; broken are: {names}")
    found: Mapping[str, Any] = broken[name]
    return found


def _events(path: Path, network: Network) -> Trace:
    types, rows = network.types, dict[str, list[tuple[int, float]]]()
    with path.open(encoding="utf-8", newline="") as file:
        found_rows = csv.DictReader(file)
        if not set(COLUMNS) <= set(found_rows.fieldnames or ()):
            raise TraceError(f"its columns are not {', '.join(COLUMNS)}")
        for row in found_rows:
            rows.setdefault(row["signal"], []).append(
                (round(1000 * float(row["time [s]"])), float(row["value"]))
            )
    if not rows:
        raise TraceError("it has no events (columns: time [s], signal, value)")
    tracks = {name: _track(name, types[name], pairs) for name, pairs in rows.items() if name in types}
    end = max(when for pairs in rows.values() for when, _ in pairs)
    samples = path.with_name("trace.csv")
    if samples.exists():
        measured = {row.name for row in network.inputs if row.type is Type.REAL}
        found = {track.name: track for track in _samples(samples, measured)}
        end = max([end, *(int(track.times_ms[-1]) for track in found.values())])
        tracks |= found
    return Trace(tracks, end)


def _track(name: str, kind: Type, pairs: Iterable[tuple[int, float]]) -> Track:
    rows = list(pairs)
    times = np.array([when for when, _ in rows], dtype=np.int64)
    values = np.array([value for _, value in rows])
    return Track(
        name, KINDS[kind], "", times, values.astype(bool) if kind is Type.BOOL else values.astype(np.int64)
    )


def _samples(path: Path, wanted: Collection[str]) -> Iterable[Track]:
    """The columns of these names that are measured, back in SI."""
    with path.open(encoding="utf-8", newline="") as file:
        lines = csv.reader(file)
        head = [heading.removesuffix("]").partition(" [") for heading in next(lines)]
        places = [place for place, (name, _, _) in enumerate(head) if place == 0 or name in wanted]
        rows = np.fromiter(
            (float(line[place]) for line in lines for place in places), dtype=np.float64
        ).reshape(-1, len(places))
    times = np.rint(1000 * rows[:, 0]).astype(np.int64)
    for column, place in enumerate(places[1:], 1):
        name, _, unit = head[place]
        dimension = dimension_shown_in(unit)
        factor, offset = scale(unit, dimension) if dimension else (1.0, 0.0)
        si = reading(dimension, unit).si
        values = rows[:, column] * factor + offset
        yield Track(name, "real", si, times, values, step=False, dimension=dimension)


COLUMNS = ("time [s]", "signal", "value")  # of events.csv
