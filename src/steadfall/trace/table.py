"""The trace as plain text tables that any program opens: a wide one by record, and one of every change.

Rule of this file: numbers are written so that reading them back gives the same table; nothing needs more than
the standard library.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from steadfall.source import OutsideError
from steadfall.trace.columns import columns
from steadfall.trace.trace import Trace


def write_csv(trace: Trace, path: Path) -> Path:
    """The wide table: a row for each record, a column for each signal (docs/trace.md)."""
    table = columns(trace)
    rows = zip(*(column.tolist() for column in table.values()), strict=True)
    return _write(path, tuple(table), ([_cell(value) for value in row] for row in rows))


def write_events(trace: Trace, path: Path) -> Path:
    """Every value that a logic signal took, with its moment to the millisecond, in order of time."""
    return _write(path, ("time [s]", "signal", "value"), _events(trace))


def _events(trace: Trace) -> Iterator[Sequence[str]]:
    found = [
        (when, name, value)
        for name, track in trace.tracks.items()
        if track.step
        for when, value in trace.changes(name)
    ]
    for when, name, value in sorted(found, key=lambda event: event[:2]):
        yield f"{when // 1000}.{when % 1000:03d}", name, _cell(value)


def _cell(value: Any) -> str:
    """True and false as 1 and 0; a number to seven figures, more than any sensor gives."""
    if isinstance(value, bool | int):
        return str(int(value))
    return f"{value:.7g}"


def _write(path: Path, head: Sequence[str], rows: Iterable[Sequence[str]]) -> Path:
    try:
        with Path(path).open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(head)
            writer.writerows(rows)
    except OSError as error:
        raise OutsideError(f"cannot write {path}: {error.strerror or error}") from error
    return Path(path)
