"""Runs the fast scan over many scans whose inputs are known, and keeps every register after each."""

from __future__ import annotations

from typing import Any

from steadfall.compiled import kernel
from steadfall.scan.kernel import scan_once


@kernel
def replay(
    code: Any, ints: Any, reals: Any, where: Any, steps: Any, rows: Any, kept_ints: Any, kept_reals: Any
) -> None:
    """One scan for each of `steps` (ms since the scan before).

    `where` has a row (register, 1 if REAL) for every column of `rows`, the inputs; `kept_ints` and
    `kept_reals` take a row of registers after each scan.
    """
    for k in range(steps.size):
        for i in range(where.shape[0]):
            if where[i, 1] == 1:
                reals[where[i, 0]] = rows[k, i]
            else:
                ints[where[i, 0]] = int(rows[k, i])
        scan_once(code, ints, reals, steps[k])
        kept_ints[k, :] = ints
        kept_reals[k, :] = reals
