"""Many scans in one go on the fast scan: inputs are given, signals are watched and kept.

Rule of this file: plain Python that can be compiled; this is the one place where scans follow each other with
inputs that are known beforehand.
"""

from __future__ import annotations

from typing import Any

from steadfall.compiled import kernel
from steadfall.scan.kernel import scan_once


@kernel
def play_scans(program: Any, dts: Any, moves: Any, follow: Any, watched: Any, kept: Any) -> None:
    """One scan for each of `dts` (ms since the scan before).

    `program`: code, ints, reals. `moves`, in order of scans: scan numbers int64[m], is it REAL uint8[m],
    registers int64[m], values float64[m]. `follow`: int64[f, 2], an input's register and that of the signal
    whose last value it has. `watched`: registers int64[w], and for each the first scan in which it is true,
    -1 while there is none. `kept`: whole registers int64[k], REAL registers int64[r], and for each of the two
    kinds an array that takes a row of them after each scan.
    """
    code, ints, reals = program
    at, real, where, values = moves
    looked_at, first = watched
    whole_places, real_places, wholes, measured = kept
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
        for row in range(looked_at.shape[0]):
            if first[row] < 0 and ints[looked_at[row]] != 0:
                first[row] = scan
        for row in range(whole_places.shape[0]):
            wholes[scan, row] = ints[whole_places[row]]
        for row in range(real_places.shape[0]):
            measured[scan, row] = reals[real_places[row]]
