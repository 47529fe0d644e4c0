"""Runs that jump over the scans in which nothing happens, to a little before something is due.

Rule of this file: a jump is only made where the scans before it changed nothing, and never across a moment
at which a clock comes to a time that it is compared with; the scan that sees it pass is an ordinary one. So
every state is one that single scans come to.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from steadfall.compiled import kernel
from steadfall.scan.kernel import scan_once

NEVER = 1 << 60
CALM = 2  # scans that have changed nothing
IDLE = 20  # longest scans: a jump where nothing is due


@kernel
def play_strides(program: Any, moves: Any, going: Any, clocks: Any, loss: Any, kept: Any) -> None:
    """One step for each of `going`, with what is so after it in `kept`.

    `program`: code, ints, reals. `moves` and, as its last part, `follow`: as of `runs.kernel.play_scans`.
    `going`: for each step its ms (0 or less: a jump; where there is no room for one, a scan of so many ms, at
    0 of the longest), how many ms before the next due moment a jump ends, ms of the scan after it, for how
    long power is away (0: it is not); and the longest scan. `clocks`: ages int64[a], which are counted on in
    place, of each its own register and the event's, begin, limit, whether power cuts spare it; of other
    clocks the register; dues int64[clocks, d], ages first, -1 where there are fewer. `loss`: as of
    `lose_power`. `kept`: registers that must rest before a jump int64[p], registers that are kept int64[k],
    and rows int64[steps, k + 1 + a], or without ages: registers, ms that have passed, ages.
    """
    code, ints, reals = program
    dts, ends, afters, offs, longest = going
    ages, _, events, _, limits, _, others, _ = clocks
    resting, columns, rows = kept
    before, stood, follow = np.zeros_like(resting), np.zeros_like(others), moves[4]
    place, calm, pending, many = 0, 0, 0, columns.shape[0]
    shown = rows.shape[1] - many - 1  # ages
    for step in range(dts.shape[0]):
        if offs[step] > 0:
            lose_power(ints, reals, loss)
            grow_old(ages, ints, clocks, offs[step])
            calm, pending, dt = 0, 0, offs[step]
        else:
            begun = place
            if followed(ints, follow):
                calm = 0
            place = give(ints, reals, moves, place, step)
            dt = pending if pending > 0 else dts[step]
            pending = 0
            if dt <= 0:
                gap = next_due(ints, clocks, stood) if calm >= CALM and place == begun else 0
                dt = jump(gap, ends[step], longest, -dt if dt < 0 else longest)
                pending = afters[step] if dt > longest and gap < NEVER else 0
            for row in range(resting.shape[0]):
                before[row] = ints[resting[row]]
            for row in range(others.shape[0]):
                stood[row] = ints[others[row]]
            dt = dt if ints[0] != 0 else 0
            scan_once(code, ints, reals, dt)
            calm += 1
            for row in range(resting.shape[0]):
                if before[row] != ints[resting[row]]:
                    calm = 0
            for age in range(ages.shape[0]):
                ages[age] = 0 if ints[events[age]] != 0 else min(ages[age] + dt, limits[age])
        for row in range(many):
            rows[step, row] = ints[columns[row]]
        rows[step, many] = dt
        for age in range(shown):
            rows[step, many + 1 + age] = ages[age]


@kernel
def followed(ints: Any, follow: Any) -> bool:
    """Gives inputs the last value of the signals that they follow; whether that changes any."""
    changed = False
    for row in range(follow.shape[0]):
        if ints[follow[row, 0]] != ints[follow[row, 1]]:
            ints[follow[row, 0]] = ints[follow[row, 1]]
            changed = True
    return changed


@kernel
def give(ints: Any, reals: Any, moves: Any, place: int, step: int) -> int:
    """Gives the inputs what they have from a step on; how many moves are made by then."""
    at, real, where, values, _ = moves
    while place < at.shape[0] and at[place] <= step:
        if real[place]:
            reals[where[place]] = values[place]
        else:
            ints[where[place]] = int(values[place])
        place += 1
    return place


@kernel
def lose_power(ints: Any, reals: Any, loss: Any) -> None:
    """What a power cut does: registers that it clears and their first values, whole and REAL; event registers
    of what goes on counting, which it puts off.
    """
    cleared, firsts, cleared_reals, first_reals, put_off = loss
    for row in range(cleared.shape[0]):
        ints[cleared[row]] = firsts[row]
    for row in range(cleared_reals.shape[0]):
        reals[cleared_reals[row]] = first_reals[row]
    for row in range(put_off.shape[0]):
        ints[put_off[row]] = 0


@kernel
def grow_old(ages: Any, ints: Any, clocks: Any, off: int) -> None:
    """What a power cut does to ages: those that it spares are so much older, the others begin anew."""
    _, owns, _, begins, limits, spared, _, _ = clocks
    for age in range(ages.shape[0]):
        ages[age] = min(ages[age] + off, limits[age]) if spared[age] else begins[age]
        if spared[age]:
            ints[owns[age]] = ages[age]


@kernel
def jump(gap: int, end: int, longest: int, ordinary: int) -> int:
    """How long a jump is that ends a little before something is due; where there is no room for one, how long
    an ordinary scan is.
    """
    if gap == NEVER:
        return IDLE * longest
    return max(gap - end, longest) if gap > longest and gap > end else ordinary


@kernel
def next_due(ints: Any, clocks: Any, stood: Any) -> int:
    """How long until a clock that runs comes to a time that it is compared with.

    While nothing changes, an age stands still whose event has just been, and another clock that has not gone
    on since the last scan (`stood`).
    """
    ages, _, events, _, _, _, others, dues = clocks
    gap, many = NEVER, ages.shape[0]
    for clock in range(dues.shape[0]):
        other = clock - many
        age = ages[clock] if other < 0 else ints[others[other]]
        if ints[events[clock]] != 0 if other < 0 else age == stood[other]:
            continue
        for place in range(dues.shape[1]):
            if age < dues[clock, place] and dues[clock, place] - age < gap:
                gap = dues[clock, place] - age
    return gap


@kernel
def farthest(which: Any, clocks: Any, most: Any) -> None:
    """How far clocks come apart: the greatest `clocks[row, i] - clocks[row, j]` of each group of rows.

    `which`: the group of each row; `most`: int64[groups, clocks, clocks], filled with what is less than any.
    """
    for row in range(clocks.shape[0]):
        group = which[row]
        for one in range(clocks.shape[1]):
            for two in range(clocks.shape[1]):
                apart = clocks[row, one] - clocks[row, two]
                if apart > most[group, one, two]:  # noqa: PLR1730 - a kernel
                    most[group, one, two] = apart
