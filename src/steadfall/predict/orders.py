"""What the controller orders of the plant in a scan: every command, whether it is done, whether it is busy.

Rule of this file: two runs of one plant that are alike go on alike as long as these are, whatever else the
two controllers make of what they are shown.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import kernel
from steadfall.predict.record import ORDERS, Record
from steadfall.predict.wiring import Wiring

BESIDE = 2  # what stands in a row behind the commands: done, and busy


@kernel
def _done(wiring: Wiring, ints: NDArray[np.int64]) -> bool:
    return wiring.done_register.size > 0 and bool(ints[wiring.done_register[0]] == 1)


@kernel
def _busy(wiring: Wiring, ints: NDArray[np.int64]) -> bool:
    stages = 0
    for i in range(wiring.stage_register.size):
        stages += ints[wiring.stage_register[i]] != 0
    return bool(stages > 0)


@kernel
def note_orders(
    record: Record, wiring: Wiring, ints: NDArray[np.int64], observed: NDArray[np.float64]
) -> None:
    """Keep what was shown in this scan and what was ordered, where that is asked for."""
    if record.orders.shape[0] == 0:
        return
    n = record.used[ORDERS]
    for i in range(record.measured.size):
        record.shown[n, i] = observed[record.measured[i]]
    commands = wiring.command_register.size
    for i in range(commands):
        record.orders[n, i] = ints[wiring.command_register[i]]
    record.orders[n, commands] = _done(wiring, ints)
    record.orders[n, commands + 1] = _busy(wiring, ints)
    record.used[ORDERS] = n + 1


@kernel
def same_orders(orders: NDArray[np.uint8], n: int, wiring: Wiring, ints: NDArray[np.int64]) -> bool:
    """Whether the same was ordered in the n-th of the scans that were kept."""
    commands, other = wiring.command_register.size, 0
    for i in range(commands):
        other += orders[n, i] != ints[wiring.command_register[i]]
    other += (orders[n, commands] != 0) != _done(wiring, ints)
    other += (orders[n, commands + 1] != 0) != _busy(wiring, ints)
    return bool(other == 0)
