"""The fast scan: one compiled loop that runs any network's instructions, so that no plan needs compiling.

Rule of this file: the same values as `scan.interpreter`, bit for bit. Registers are two arrays, whole numbers
and REAL; `scan.program` lays them out. Every function here also runs as plain Python.
"""

# ruff: noqa: PLR0911, PLR0912 - a machine's instructions are one flat choice, and its functions take
# registers

from __future__ import annotations

from typing import Any

import numpy as np

from steadfall.compiled import kernel
from steadfall.scan import opcodes as op

REST, ON, TIMING, OUT = range(4)
MOST_WHOLE = 2**53
MOST_STEPS = (
    2.0**53
)  # logic.nodes.LARGEST, said again here: compiled code is kept until a file of this folder changes


@kernel
def scan_once(code: Any, ints: Any, reals: Any, dt_ms: int) -> None:
    """One scan, `dt_ms` after the last one: runs every instruction once, from top to bottom."""
    if ints[op.FIRST_SCAN_DONE] == 0:
        ints[op.FIRST_SCAN_DONE] = 1
        dt_ms = 0
    for row in range(code.shape[0]):
        what, target, a, b, c = code[row, 0], code[row, 1], code[row, 2], code[row, 3], code[row, 4]
        if what == op.AND:
            ints[target] = ints[a] & ints[b]
        elif what == op.OR:
            ints[target] = ints[a] | ints[b]
        elif what == op.AND_NOT:
            ints[target] = ints[a] & ~ints[b]
        elif what == op.SELECT:
            ints[target] = ints[b] if ints[a] != 0 else ints[c]
        elif what == op.MUX:
            ints[target] = ints[b + _place(ints[a], c)]
        elif what == op.MOVE:
            ints[target] = ints[a]
        elif what == op.EQUAL:
            ints[target] = ints[a] == ints[b]
        elif what == op.LESS:
            ints[target] = ints[a] < ints[b]
        elif what == op.LESS_EQUAL:
            ints[target] = ints[a] <= ints[b]
        elif what == op.NOT:
            ints[target] = ints[a] ^ 1
        elif what == op.DIFFERENT:
            ints[target] = ints[a] != ints[b]
        elif what == op.SINCE:
            ints[target] = min((0 if ints[a] != 0 else ints[target]) + dt_ms, ints[b])
        elif what <= op.LAST_BLOCK:
            ints[target] = _block(what, ints, target, a, b, c, dt_ms)
        else:
            _real(what, ints, reals, target, a, b, c)


@kernel
def _place(index: Any, count: Any) -> Any:
    """Which of `count` entries an index points at."""
    return np.uint32(min(max(index, 0), np.int64(count) - 1))


@kernel
def _block(what: int, ints: Any, target: int, a: int, b: int, c: int, dt_ms: int) -> int:
    """A latch, edge or timer."""
    if what == op.SET_DOMINANT:
        return int(ints[a] | (ints[target] & ~ints[b]))
    if what == op.RESET_DOMINANT:
        return int((ints[a] | ints[target]) & ~ints[b])
    state = c + 1
    if what == op.RISE:
        before = ints[state]
        ints[state] = ints[a]
        return int(ints[a] & ~before)
    if what == op.FALL:
        before = ints[state]
        ints[state] = ints[a] ^ 1
        return int(ints[state] & ~before)
    preset = max(ints[b], 0)
    if what == op.TON:
        return _ton(ints, ints[a] != 0, preset, c, state, dt_ms)
    if what == op.TOF:
        return _tof(ints, ints[a] != 0, preset, c, state, dt_ms)
    return _tp(ints, ints[a] != 0, preset, c, state, dt_ms)


@kernel
def _ton(ints: Any, on: bool, preset: int, et: int, state: int, dt_ms: int) -> int:
    ints[et] = min(ints[et] + dt_ms, preset) if on and ints[state] == ON else 0
    ints[state] = ON if on else REST
    return 1 if on and ints[et] >= preset else 0


@kernel
def _tof(ints: Any, on: bool, preset: int, et: int, state: int, dt_ms: int) -> int:
    if on:
        ints[state] = ON
        ints[et] = 0
        return 1
    if ints[state] == TIMING:
        ints[et] = min(ints[et] + dt_ms, preset)
    elif ints[state] == ON:
        ints[state] = TIMING
    if ints[state] == TIMING and ints[et] >= preset:
        ints[state] = OUT
    return 1 if ints[state] == TIMING else 0


@kernel
def _tp(ints: Any, on: bool, preset: int, et: int, state: int, dt_ms: int) -> int:
    if ints[state] == TIMING:
        ints[et] = min(ints[et] + dt_ms, preset)
    elif ints[state] == REST and on:
        ints[state] = TIMING
    if ints[state] == TIMING and ints[et] >= preset:
        ints[state] = OUT
    if ints[state] == OUT and not on:
        ints[state] = REST
        ints[et] = 0
    return 1 if ints[state] == TIMING else 0


@kernel
def _real(what: int, ints: Any, reals: Any, target: int, a: int, b: int, c: int) -> None:
    """Everything with a REAL in it, and sums of whole numbers."""
    if what == op.REAL_LESS:
        ints[target] = reals[a] < reals[b]
    elif what == op.REAL_LESS_EQUAL:
        ints[target] = reals[a] <= reals[b]
    elif what == op.REAL_SELECT:
        reals[target] = reals[b] if ints[a] != 0 else reals[c]
    elif what == op.REAL_MUX:
        reals[target] = reals[b + _place(ints[a], c)]
    elif what == op.REAL_MOVE:
        reals[target] = reals[a]
    elif what == op.ADD:
        reals[target] = reals[a] + reals[b]
    elif what == op.SUBTRACT:
        reals[target] = reals[a] - reals[b]
    elif what == op.MULTIPLY:
        reals[target] = reals[a] * reals[b]
    elif what == op.LEAST:
        reals[target] = reals[a] if reals[a] < reals[b] else reals[b]
    elif what == op.GREATEST:
        reals[target] = reals[a] if reals[a] > reals[b] else reals[b]
    elif what == op.TO_REAL:
        reals[target] = ints[a]
    elif what == op.TO_TIME:
        ints[target] = _steps(reals[a] / ints[b]) * ints[b]
    elif what == op.REAL_EQUAL:
        ints[target] = reals[a] == reals[b]
    elif what == op.REAL_DIFFERENT:
        ints[target] = reals[a] != reals[b]
    elif what == op.WHOLE_ADD:
        ints[target] = min(max(ints[a] + ints[b], -MOST_WHOLE), MOST_WHOLE)
    elif what == op.WHOLE_SUBTRACT:
        ints[target] = min(max(ints[a] - ints[b], -MOST_WHOLE), MOST_WHOLE)
    elif what == op.SQUARE_ROOT:
        reals[target] = np.sqrt(reals[a]) if reals[a] > 0.0 else 0.0


@kernel
def _steps(steps: float) -> int:
    """The nearest whole number, ties to the even one."""
    if np.isnan(steps):
        return 0
    return int(np.rint(min(max(steps, -MOST_STEPS), MOST_STEPS)))
