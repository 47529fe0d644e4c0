"""What a run remembers: sampled quantities with their extremes between samples, and every change of a logic
signal.

A sample row holds the value at its moment and the lowest and highest value since the row before, so that a
short dose is never lost between two samples. Logic signals are kept as changes, exact to the millisecond. On
demand, every input is kept at every scan, exactly as the controller saw it.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import kernel

# Places in `Record.used`.
ROWS, CHANGES, INPUTS, ORDERS = 0, 1, 2, 3


class Record(NamedTuple):
    """The buffers of one chunk; the caller empties them."""

    peak: NDArray[np.float64]  # of the whole run
    peak_ms: NDArray[np.int64]
    used: NDArray[np.int64]  # rows and changes in use
    row_ms: NDArray[np.int64]
    rows: NDArray[np.float64]  # rows x 3 x quantities: value, low, high
    low: NDArray[np.float64]  # since the last row
    high: NDArray[np.float64]
    change_ms: NDArray[np.int64]
    change_of: NDArray[np.int64]  # index into `watched`
    change_to: NDArray[np.int64]
    watched: NDArray[np.int64]  # int registers whose changes are kept
    last: NDArray[np.int64]  # their last value
    real_watched: NDArray[np.int64]  # real registers sampled with the rows
    real_rows: NDArray[np.float64]  # rows x real registers
    input_register: NDArray[np.int64]  # inputs kept at every scan; empty in an ordinary run
    input_real: NDArray[np.int64]  # 1: a REAL register
    input_ms: NDArray[np.int64]  # moment of each scan
    input_rows: NDArray[np.float64]  # scans x inputs
    measured: NDArray[np.int64]  # quantities kept as they are shown at every scan
    shown: NDArray[np.float64]  # scans x these; no row in an ordinary run
    orders: NDArray[np.uint8]  # scans x what the controller orders of the plant; the same


# By what a buffer is filled.
BUFFERS = {
    "row_ms": ROWS,
    "rows": ROWS,
    "real_rows": ROWS,
    "change_ms": CHANGES,
    "change_of": CHANGES,
    "change_to": CHANGES,
    "input_ms": INPUTS,
    "input_rows": INPUTS,
    "shown": ORDERS,
    "orders": ORDERS,
}


class Kept(NamedTuple):
    """Which inputs are kept at every scan, and room for so many scans."""

    register: NDArray[np.int64]
    real: NDArray[np.int64]
    scans: int


NOTHING_KEPT = Kept(np.zeros(0, np.int64), np.zeros(0, np.int64), 0)


def record(
    quantities: int,
    watched: NDArray[np.int64],
    real_watched: NDArray[np.int64],
    rows: int,
    changes: int,
    kept: Kept = NOTHING_KEPT,
) -> Record:
    """Empty buffers for so many sample rows, so many changes, and the inputs that are to be kept."""
    return Record(
        peak=np.full(quantities, -np.inf),
        peak_ms=np.zeros(quantities, dtype=np.int64),
        used=np.zeros(4, dtype=np.int64),
        row_ms=np.zeros(rows, dtype=np.int64),
        rows=np.zeros((rows, 3, quantities)),
        low=np.full(quantities, np.inf),
        high=np.full(quantities, -np.inf),
        change_ms=np.zeros(changes, dtype=np.int64),
        change_of=np.zeros(changes, dtype=np.int64),
        change_to=np.zeros(changes, dtype=np.int64),
        watched=watched,
        last=np.full(watched.size, np.iinfo(np.int64).min),
        real_watched=real_watched,
        real_rows=np.zeros((rows, real_watched.size)),
        input_register=kept.register,
        input_real=kept.real,
        input_ms=np.zeros(kept.scans, dtype=np.int64),
        input_rows=np.zeros((kept.scans, kept.register.size)),
        measured=np.zeros(0, dtype=np.int64),
        shown=np.zeros((0, 0)),
        orders=np.zeros((0, 0), dtype=np.uint8),
    )


@kernel
def note_changes(record: Record, ints: NDArray[np.int64], ms: int) -> None:
    """Keep every watched signal that has another value than at the last scan."""
    for i in range(record.watched.size):
        value = ints[record.watched[i]]
        if value != record.last[i]:
            n = record.used[CHANGES]
            record.change_ms[n] = ms
            record.change_of[n] = i
            record.change_to[n] = value
            record.used[CHANGES] = n + 1
            record.last[i] = value


@kernel
def note_inputs(record: Record, ints: NDArray[np.int64], reals: NDArray[np.float64], ms: int) -> None:
    """Keep what the controller sees in this scan, where that is asked for."""
    if record.input_register.size == 0:
        return
    n = record.used[INPUTS]
    record.input_ms[n] = ms
    for i in range(record.input_register.size):
        place = record.input_register[i]
        record.input_rows[n, i] = reals[place] if record.input_real[i] == 1 else ints[place]
    record.used[INPUTS] = n + 1


@kernel
def note_extremes(record: Record, observed: NDArray[np.float64], ms: int) -> None:
    """Widen the extremes since the last row; keep the highest of the run and its moment."""
    for i in range(observed.size):
        value = observed[i]
        record.low[i] = min(record.low[i], value)
        record.high[i] = max(record.high[i], value)
        if value > record.peak[i]:
            record.peak[i] = value
            record.peak_ms[i] = ms


@kernel
def note_row(record: Record, observed: NDArray[np.float64], reals: NDArray[np.float64], ms: int) -> None:
    """Write a sample row and begin new extremes at it."""
    n = record.used[ROWS]
    record.row_ms[n] = ms
    for i in range(observed.size):
        record.rows[n, 0, i] = observed[i]
        record.rows[n, 1, i] = record.low[i]
        record.rows[n, 2, i] = record.high[i]
        record.low[i] = observed[i]
        record.high[i] = observed[i]
    note_reals(record, reals)


@kernel
def note_reals(record: Record, reals: NDArray[np.float64]) -> None:
    """Write the controller's numbers into a sample row, which is then done."""
    n = record.used[ROWS]
    for i in range(record.real_watched.size):
        record.real_rows[n, i] = reals[record.real_watched[i]]
    record.used[ROWS] = n + 1


def packed(of: Record) -> tuple[Record, dict[str, int]]:
    """A record to be handed to another process: its buffers without what is not in use, and their lengths."""
    cut = {name: getattr(of, name)[: of.used[by]] for name, by in BUFFERS.items()}
    return of._replace(**cut), {name: len(getattr(of, name)) for name in BUFFERS}


def unpacked(of: Record, lengths: dict[str, int]) -> Record:
    """The record with buffers as long as they were."""
    return of._replace(**{name: _long(getattr(of, name), length) for name, length in lengths.items()})


def _long(part: NDArray[Any], length: int) -> NDArray[Any]:
    found = np.zeros((length, *part.shape[1:]), part.dtype)
    found[: len(part)] = part
    return found
