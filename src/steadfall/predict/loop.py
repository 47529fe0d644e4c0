"""The loop: one scan of the logic, then the plant until the next scan, as long as the chunk lasts.

Order of one scan at time t: changes of the scenario due at t, sensors, the scan itself, valve commands, then
the plant to t + dt, where limits and goals are judged and the record is kept. So a command acts from the scan
that gave it. Where `Bounds` allow it, the plant lets scans pass in which no command has changed for a while,
and makes up for them in one longer step; before a command that changes it comes up to time first.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from steadfall.compiled import inlined_kernel, kernel, lean_kernel
from steadfall.plant.grid.whole import Constants, State
from steadfall.plant.kernel.observe import observe
from steadfall.plant.kernel.step import step, stopped
from steadfall.predict.orders import note_orders
from steadfall.predict.record import Record, note_changes, note_extremes, note_inputs, note_row
from steadfall.predict.watch import Watch, watch_goals, watch_limits
from steadfall.predict.wiring import Wiring, read_sensors
from steadfall.scan.kernel import scan_once

TAIL_MS = 5_000  # how long every circuit must have been idle after the release before the run is over
FINISH_MS = 900_000  # how long the finish may take after the release

# Places in the clock.
NOW, LAST_DT, NEXT_CHANGE, RELEASED, BUSY, NEXT_ROW, ENDED, CALM, LATE = range(9)
CLOCK = 9

# Why a run ended: the values of clock[ENDED].
RUNNING, UNTIL, FINISHED, TOO_LONG, STOPPED = range(5)


class Bounds(NamedTuple):
    """When a run ends and how it is cut: times in ms."""

    until: int  # -1: with the goals
    longest: int
    steps_per_scan: int
    row_every: int
    calm: int = 0  # how long no command may have changed before the plant lets scans pass
    stride: int = 0  # how long a step may then be; 0: as long as a scan


class Registers(NamedTuple):
    """The controller's memory, and what the plant showed last."""

    ints: NDArray[np.int64]
    reals: NDArray[np.float64]
    commands: NDArray[np.uint8]
    observed: NDArray[np.float64]


@lean_kernel
def advance(
    code: NDArray[np.uint32],
    registers: Registers,
    constants: Constants,
    state: State,
    wiring: Wiring,
    watch: Watch,
    record: Record,
    bounds: Bounds,
    clock: NDArray[np.int64],
    scans_ms: NDArray[np.int64],
) -> None:
    """Run as many scans as `scans_ms` has lengths, or until the run ends (clock[ENDED])."""
    for k in range(scans_ms.size):
        sense(registers, wiring, record, clock)
        scan_once(code, registers.ints, registers.reals, clock[LAST_DT])
        note_orders(record, wiring, registers.ints, registers.observed)
        move(registers, constants, state, wiring, watch, record, bounds, clock, scans_ms[k])
        if clock[ENDED] != RUNNING:
            return


@inlined_kernel
def sense(registers: Registers, wiring: Wiring, record: Record, clock: NDArray[np.int64]) -> None:
    """What the controller is shown now: changes of the scenario that are due, then the sensors."""
    _set_inputs(wiring, clock)
    read_sensors(wiring, registers.observed, registers.ints, registers.reals, clock[LAST_DT] / 1000.0)
    note_inputs(record, registers.ints, registers.reals, clock[NOW])


@inlined_kernel
def move(
    registers: Registers,
    constants: Constants,
    state: State,
    wiring: Wiring,
    watch: Watch,
    record: Record,
    bounds: Bounds,
    clock: NDArray[np.int64],
    dt_ms: int,
) -> None:
    """What the plant does with the commands as they stand, for so many ms, and what is kept of it."""
    ints, reals, commands, observed = registers
    note_changes(record, ints, clock[NOW])
    changed = _told(wiring, ints, commands)
    clock[CALM] = 0 if changed else clock[CALM] + dt_ms
    now = clock[NOW] + dt_ms
    clock[NOW] = now
    clock[LAST_DT] = dt_ms
    if clock[CALM] >= bounds.calm and clock[LATE] + dt_ms < bounds.stride:
        clock[LATE] += dt_ms
        watch_limits(watch, observed, now)  # a window of a rate is so many scans
        return
    late = clock[LATE]
    length = dt_ms if changed else dt_ms + late
    for k in range(-1 if changed and late > 0 else 0, bounds.steps_per_scan):
        dt = length / 1000.0 / bounds.steps_per_scan if k >= 0 else late / 1000.0
        for i in range(wiring.command_register.size if k >= 0 else 0):
            commands[i] = ints[wiring.command_register[i]]
        step(constants, state, commands, dt)
        observe(constants, state, observed)
        note_extremes(record, observed, now)
    clock[LATE] = 0
    watch_limits(watch, observed, now)
    reached = watch_goals(watch, observed, now)
    if now >= clock[NEXT_ROW]:
        note_row(record, observed, reals, now)
        clock[NEXT_ROW] += bounds.row_every
    if wiring.done_register.size > 0:
        reached = ints[wiring.done_register[0]] == 1
    if reached and clock[RELEASED] < 0 and bounds.until < 0:
        release(wiring, clock)
    clock[ENDED] = _ended(wiring, ints, state, bounds, clock)


@kernel
def _told(wiring: Wiring, ints: NDArray[np.int64], commands: NDArray[np.uint8]) -> bool:
    """Whether any command is another than in the last scan."""
    other = 0
    for i in range(wiring.command_register.size):
        other += ints[wiring.command_register[i]] != commands[i]
    return other > 0


@kernel
def _set_inputs(wiring: Wiring, clock: NDArray[np.int64]) -> None:
    n = clock[NEXT_CHANGE]
    while n < wiring.change_ms.size and wiring.change_ms[n] <= clock[NOW]:
        wiring.given[wiring.change_of[n]] = wiring.change_value[n]
        n += 1
    clock[NEXT_CHANGE] = n


@kernel
def release(wiring: Wiring, clock: NDArray[np.int64]) -> None:
    """Take the call back: every goal has been reached."""
    clock[RELEASED] = clock[NOW]
    clock[BUSY] = clock[NOW]
    for i in range(wiring.release_of.size):
        wiring.given[wiring.release_of[i]] = wiring.release_value[i]


@kernel
def _ended(
    wiring: Wiring, ints: NDArray[np.int64], state: State, bounds: Bounds, clock: NDArray[np.int64]
) -> int:
    now = clock[NOW]
    if stopped(state):
        return STOPPED
    if bounds.until >= 0:
        return UNTIL if now >= bounds.until else RUNNING
    for i in range(wiring.stage_register.size):
        if ints[wiring.stage_register[i]] != 0:
            clock[BUSY] = now
    if clock[RELEASED] < 0:
        return TOO_LONG if now >= bounds.longest else RUNNING
    if now - clock[BUSY] >= TAIL_MS:
        return FINISHED
    return TOO_LONG if now - clock[RELEASED] >= FINISH_MS else RUNNING
