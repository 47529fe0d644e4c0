"""One step of one circuit: walls eliminated, heat prepared, pressure solved, everything accepted."""

from __future__ import annotations

import math

from steadfall.compiled import kernel
from steadfall.plant import fields as f
from steadfall.plant.heat import prepare_cells
from steadfall.plant.pressure import HIGHEST, LOWEST, solve_pressure
from steadfall.plant.settle import settle
from steadfall.plant.state import Constants, Reals, State
from steadfall.plant.wall import eliminate

STOP_PRESSURE = 40e5  # Pa; far above any cooling circuit's rating, and where the correlations end
UNMET = 0.1  # of the flow: a step whose outlet law is missed by more is counted and noted
BREATH = 0.1  # kg/m2/s of air drawn in that is worth a note (about 0.1 m/s)
HOT_WALL = 673.15  # K (400 degC)


@kernel
def advance_circuit(constants: Constants, state: State, c: int, dt: float) -> None:
    """Advance circuit c by one step; its host's heat goes to `state.source`."""
    cells, work, own = state.cells[c], state.work, state.circuit[c]
    geo, wall, books, flux = constants.circuit[c], state.wall[c], state.books[c], state.flux
    node = constants.host[c]
    host = state.nodes[node]
    eliminate(cells, work, wall, constants.shell_capacity[c], constants.shell_link[c], host, dt)
    x = math.sqrt(math.sqrt(own[f.P]))
    condensed, flags = prepare_cells(cells, work, geo, wall, constants.boiling, constants.liquid, x, state.flags[c], dt)
    books[f.CONDENSED] += condensed
    solved = solve_pressure(
        cells,
        work,
        own,
        geo,
        wall,
        flux,
        constants.boiling,
        constants.choke,
        constants.first_valve[c],
        constants.first_valve[c + 1],
        constants.valve_kind,
        constants.valves,
        state.position,
        dt,
    )
    settle(cells, work, own, geo, wall, books, flux, host, dt)
    state.source[0, node] -= own[f.HOST_HEAT]
    flags |= flags_of(own, geo, flux, dt)
    for v in range(constants.first_valve[c], constants.first_valve[c + 1]):
        water = constants.valve_kind[v] == f.WATER and state.position[v] > 0.0
        if water and own[f.P] >= constants.valves[v, f.V_P]:
            flags |= f.HELD_BACK
    if not solved and own[f.MISS] > UNMET:
        own[f.UNMET] += 1.0
        flags |= f.UNSOLVED
    new = flags & ~state.flags[c]
    if new != 0:
        note_flags(state.flagged_at[c], new, state.clock[0] + dt)
        state.flags[c] |= new
    if not math.isfinite(own[f.P] + own[f.HEAT] + own[f.HELD] + own[f.OUTLET_T]):
        state.stop[0], state.stop[1] = f.NOT_FINITE, c
    elif own[f.P] > STOP_PRESSURE:
        state.stop[0], state.stop[1] = f.TOO_HIGH, c


@kernel
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


@kernel
def note_flags(moments: Reals, flags: int, now: float) -> None:
    """Keep the first moment of each new bit."""
    for bit in range(moments.size):
        if flags >> bit & 1:
            moments[bit] = now
