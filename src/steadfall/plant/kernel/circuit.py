"""One step of one circuit: walls eliminated, heat prepared, pressure solved, everything accepted."""

from __future__ import annotations

import math

from steadfall.compiled import lean_kernel
from steadfall.constants import ZERO_CELSIUS
from steadfall.plant import fields as f
from steadfall.plant.kernel.heat import prepare_cells
from steadfall.plant.kernel.pressure import HIGHEST, LOWEST, solve_pressure
from steadfall.plant.kernel.settle import settle
from steadfall.plant.kernel.wall import eliminate
from steadfall.plant.law.properties import saturation_temperature
from steadfall.plant.state import Ints, Reals

STOP_PRESSURE = 40e5  # Pa; far above any cooling circuit's rating, and where the correlations end
UNMET = 0.1  # of the flow: a step whose outlet law is missed by more is counted and noted
BREATH = 0.1  # kg/m2/s of air drawn in that is worth a note (about 0.1 m/s)
HOT_WALL = ZERO_CELSIUS + 400.0  # K


@lean_kernel
def advance_circuit(
    c: int,
    hosts: Ints,
    geometry: Reals,
    capacity: Reals,
    link: Reals,
    first_valve: Ints,
    kinds: Ints,
    valves: Reals,
    boiling: Reals,
    liquid: Reals,
    choke: Reals,
    nodes: Reals,
    source: Reals,
    position: Reals,
    through: Reals,
    flows: Reals,
    header: Reals,
    others: Reals,
    all_cells: Reals,
    work: Reals,
    circuits: Reals,
    all_books: Reals,
    flux: Reals,
    walls: Reals,
    flags: Ints,
    flagged_at: Reals,
    stop: Ints,
    now: float,
    dt: float,
) -> None:
    """Advance circuit c by one step; its host's heat goes to `source`.

    It takes arrays and not the two tuples of them, since handing those over would cost as much as a march.
    """
    cells, own, geo, wall, books = all_cells[c], circuits[c], geometry[c], walls[c], all_books[c]
    first, end, host = first_valve[c], first_valve[c + 1], nodes[hosts[c]]
    eliminate(cells, work, wall, capacity[c], link[c], host, dt)
    x = math.sqrt(math.sqrt(own[f.P]))
    condensed, new = prepare_cells(cells, work, geo, wall, boiling, liquid, x, flags[c], dt)
    books[f.CONDENSED] += condensed
    solved = solve_pressure(
        cells,
        work,
        own,
        geo,
        wall,
        flux,
        boiling,
        choke,
        first,
        end,
        kinds,
        valves,
        through,
        flows,
        header,
        others,
        dt,
    )
    settle(cells, work, own, geo, wall, books, flux, host, dt)
    source[0, hosts[c]] -= own[f.HOST_HEAT]
    new |= flags_of(own, geo, flux, dt)
    if held_back(first, end, kinds, valves, position, flows, own[f.P]):
        new |= f.HELD_BACK
        count_reversal(own, boiling)
    else:
        own[f.STOPPED_WATER] = 0.0
    if not solved and own[f.MISS] > UNMET:
        own[f.UNMET] += 1.0
        new |= f.UNSOLVED
    new &= ~flags[c]
    if new != 0:
        note_flags(flagged_at[c], new, now + dt)
        flags[c] |= new
    stop_at_ends(own, stop, c)


@lean_kernel
def stop_at_ends(own: Reals, stop: Ints, c: int) -> None:
    """Stop the run where a circuit is no longer a number, or above the pressure that the model covers."""
    if not math.isfinite(own[f.P] + own[f.HEAT] + own[f.HELD] + own[f.OUTLET_T]):
        stop[0], stop[1] = f.NOT_FINITE, c
    elif own[f.P] > STOP_PRESSURE:
        stop[0], stop[1] = f.TOO_HIGH, c


@lean_kernel
def held_back(
    first: int, end: int, kinds: Ints, valves: Reals, position: Reals, flows: Reals, p: float
) -> bool:
    """Whether the circuit's pressure keeps the water behind an open valve from coming in.

    What others draw from the same supply counts: they may leave a valve that stands open nothing.
    """
    for v in range(first, end):
        if kinds[v] == f.WATER and position[v] > 0.0 and (p >= valves[v, f.V_P] or flows[v] <= 0.0):
            return True
    return False


@lean_kernel
def count_reversal(own: Reals, boiling: Reals) -> None:
    """Count the moment at which the water stops, and whether metal above boiling stopped it: a geyser."""
    if own[f.STOPPED_WATER] > 0.0:
        return
    own[f.STOPPED_WATER] = 1.0
    own[f.REVERSALS] += 1.0
    if own[f.HOTTEST] > saturation_temperature(boiling, math.sqrt(math.sqrt(own[f.P]))):
        own[f.GEYSERS] += 1.0


@lean_kernel
def flags_of(own: Reals, geo: Reals, flux: Reals, dt: float) -> int:
    """Bits for what this step met outside the model's range."""
    flags = 0
    if own[f.HOTTEST] > HOT_WALL:
        flags |= f.WALL_HOT
    if own[f.P] <= LOWEST:
        flags |= f.BELOW_TABLE
    if own[f.P] >= HIGHEST:
        flags |= f.ABOVE_TABLE
    if flux[f.F_SUCKED] > BREATH * geo[f.AREA] * dt:
        flags |= f.SUCKED_BACK
    return flags


@lean_kernel
def note_flags(moments: Reals, flags: int, now: float) -> None:
    """Keep the first moment of each new bit."""
    for bit in range(moments.size):
        if flags >> bit & 1:
            moments[bit] = now
