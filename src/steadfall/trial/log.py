"""What happened in a trial: every change of a signal, samples of the plant, all that the controller saw."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

import numpy as np
from attrs import define, field
from numpy.typing import NDArray

from steadfall.predict.record import CHANGES, INPUTS, ROWS, Record

Sample = tuple[int, tuple[float, ...], tuple[float, ...], tuple[float, ...]]  # ms; values, lowest, highest
Change = tuple[int, int, int]  # ms, the place of the signal, its value


@define
class Log:
    """In the order of time. `shown` are the places of the quantities that are sampled."""

    shown: Sequence[int]
    changes: list[Change] = field(factory=list)
    samples: list[Sample] = field(factory=list)
    _times: list[NDArray[np.int64]] = field(factory=list)
    _inputs: list[NDArray[np.float64]] = field(factory=list)

    def take(self, record: Record) -> None:
        """Empty the loop's buffers into it."""
        rows, changes, scans = (int(record.used[which]) for which in (ROWS, CHANGES, INPUTS))
        columns = (record.change_ms, record.change_of, record.change_to)
        self.changes += zip(*(column[:changes].tolist() for column in columns), strict=True)
        for ms, row in zip(
            record.row_ms[:rows].tolist(), record.rows[:rows][:, :, self.shown].tolist(), strict=True
        ):
            self.samples.append((ms, *(tuple(part) for part in row)))
        if scans:
            self._times.append(record.input_ms[:scans].copy())
            self._inputs.append(record.input_rows[:scans].copy())
        record.used[:] = 0

    def cut(self, ms: int) -> None:
        """Forget what happened from a moment on: the scan at that moment, and samples after it."""
        del self.changes[bisect_left(self.changes, (ms,)) :]
        del self.samples[bisect_left(self.samples, (ms + 1,)) :]
        while self._times and int(self._times[-1][0]) >= ms:
            self._times.pop()
            self._inputs.pop()
        if self._times:
            kept = int(np.searchsorted(self._times[-1], ms))
            self._times[-1], self._inputs[-1] = self._times[-1][:kept], self._inputs[-1][:kept]

    def seen(self) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """The moment of each scan, and what each input was in it."""
        self._times, self._inputs = [np.concatenate(self._times)], [np.concatenate(self._inputs)]
        return self._times[0], self._inputs[0]
