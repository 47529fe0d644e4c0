"""The logic alone, over what a plant showed in another run, for as long as it orders the same of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import lean_kernel
from steadfall.predict.loop import LAST_DT, NEXT_ROW, NOW, RELEASED, Bounds, Registers, release, sense
from steadfall.predict.orders import same_orders
from steadfall.predict.record import Record, note_changes, note_reals
from steadfall.predict.wiring import Wiring
from steadfall.scan.kernel import scan_once


@lean_kernel
def follow(
    code: NDArray[np.uint32],
    registers: Registers,
    wiring: Wiring,
    record: Record,
    bounds: Bounds,
    clock: NDArray[np.int64],
    shown: NDArray[np.float64],
    orders: NDArray[np.uint8],
    scans: tuple[int, int],
    scan_ms: int,
    released_ms: int,
) -> int:
    """Run these scans of another run; give the first that orders something else, else the end."""
    for k in range(scans[0], scans[1]):
        for i in range(record.measured.size):
            registers.observed[record.measured[i]] = shown[k, i]
        sense(registers, wiring, record, clock)
        scan_once(code, registers.ints, registers.reals, clock[LAST_DT])
        if not same_orders(orders, k, wiring, registers.ints):
            return k
        note_changes(record, registers.ints, clock[NOW])
        clock[NOW] += scan_ms
        clock[LAST_DT] = scan_ms
        if clock[NOW] >= clock[NEXT_ROW]:
            note_reals(record, registers.reals)
            clock[NEXT_ROW] += bounds.row_every
        if clock[NOW] == released_ms and clock[RELEASED] < 0:
            release(wiring, clock)
    return scans[1]
