"""Many scans in one go on the fast machine, watching when signals first become true.

Rule of this file: plain Python that can be compiled; inputs change at given scans, limit switches follow
their valves.
"""

from __future__ import annotations

from typing import Any

from steadfall.compiled import kernel
from steadfall.scan.kernel import scan_once


@kernel
def drive(program: Any, dts: Any, moves: Any, follow: Any, watched: Any, first: Any) -> None:
    """Runs one scan for each entry of `dts`.

    `program`: code, ints, reals. `moves`, in order of scans: scan numbers int64[m], is it REAL uint8[m],
    registers int64[m], values float64[m]. `follow`: int64[f, 2], an input's register and that of the command
    it follows. `first`: int64[w], the first scan in which each watched register is true, -1 while there is
    none.
    """
    code, ints, reals = program
    at, real, where, values = moves
    place = 0
    for scan in range(dts.shape[0]):
        for row in range(follow.shape[0]):
            ints[follow[row, 0]] = ints[follow[row, 1]]
        while place < at.shape[0] and at[place] <= scan:
            if real[place]:
                reals[where[place]] = values[place]
            else:
                ints[where[place]] = int(values[place])
            place += 1
        scan_once(code, ints, reals, dts[scan])
        for row in range(watched.shape[0]):
            if first[row] < 0 and ints[watched[row]] != 0:
                first[row] = scan


@kernel
def record(program: Any, dts: Any, moves: Any, follow: Any, columns: Any, out: Any) -> None:
    """As `drive`, and writes the registers `columns` after every scan into `out`, int64[scans, columns]."""
    one = dts[:1].copy()
    at, real, where, values = moves
    place = 0
    for scan in range(dts.shape[0]):
        begin = place
        while place < at.shape[0] and at[place] <= scan:
            place += 1
        now = (at[begin:place] * 0, real[begin:place], where[begin:place], values[begin:place])
        one[0] = dts[scan]
        drive(program, one, now, follow, columns[:0], columns[:0])
        for column in range(columns.shape[0]):
            out[scan, column] = program[1][columns[column]]
