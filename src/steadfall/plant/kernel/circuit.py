"""One step of one circuit: walls eliminated, heat prepared, pressure solved, everything accepted."""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.constants import ZERO_CELSIUS
from steadfall.plant import fields as f
from steadfall.plant.kernel.heat import prepare_cells
from steadfall.plant.kernel.host import draw_from_host, feel_host
from steadfall.plant.kernel.mouth import cool_column, film_at_mouth
from steadfall.plant.kernel.pressure import HIGHEST, LOWEST, solve_pressure
from steadfall.plant.kernel.settle import settle
from steadfall.plant.kernel.wall import eliminate
from steadfall.plant.law.properties import saturation_temperature
from steadfall.plant.state import Circuit, Constants, Inlets, Ints, Reals, State, Tables

STOP_PRESSURE = 40e5  # Pa; far above any cooling circuit's rating, and where the correlations end
UNMET = 0.1  # of the flow: a step whose outlet law is missed by more is counted and noted
BREATH = 0.1  # kg/m2/s of air drawn in that is worth a note (about 0.1 m/s)
HOT_WALL = ZERO_CELSIUS + 400.0  # K
PASSING = 10.0  # s in all below which a gas that only comes and goes is not worth a note


@inlined_kernel
def advance_circuit(c: int, constants: Constants, state: State, dt: float) -> None:
    """Advance circuit c by one step; its host's heat goes to `source`."""
    circuit = Circuit(
        state.cells[c],
        state.work,
        state.circuit[c],
        constants.circuit[c],
        state.wall[c],
        state.books[c],
        state.flux,
    )
    inlets = Inlets(
        constants.first_valve[c],
        constants.first_valve[c + 1],
        constants.valve_kind,
        constants.valves,
        state.through,
        state.flow,
        state.pressure,
        state.shared,
        state.others,
    )
    tables = Tables(constants.boiling, constants.liquid, constants.choke)
    own, flags = circuit.own, state.flags
    feel_host(c, constants, state.nodes, circuit.work)
    eliminate(circuit.cells, circuit.work, circuit.wall)
    x = math.sqrt(math.sqrt(own[f.P]))
    evaporated, condensed, new = prepare_cells(circuit, tables, x, flags[c], dt)
    circuit.books[f.EVAPORATED] += evaporated
    circuit.books[f.CONDENSED] += condensed
    if new & f.SLOW_GAS:
        own[f.SLOW_GAS_TIME] += dt
        if own[f.SLOW_GAS_TIME] < PASSING:
            new &= ~f.SLOW_GAS
    solved = solve_pressure(circuit, inlets, tables, dt)
    settle(circuit, dt)
    film = film_at_mouth(circuit, tables)
    shock = cool_column(state.mouth[c], constants.mouth[c], film, tables.boiling, circuit.work[0, f.HOST_T])
    own[f.SHOCK] = max(own[f.SHOCK], shock)
    draw_from_host(c, constants, state, circuit)
    new |= flags_of(own, circuit.geo, circuit.flux, dt)
    if held_back(inlets, state.position, own[f.P]):
        new |= f.HELD_BACK
        count_reversal(own, tables.boiling)
    else:
        own[f.STOPPED_WATER] = 0.0
    if not solved and own[f.MISS] > UNMET:
        own[f.UNMET] += 1.0
        new |= f.UNSOLVED
    new &= ~flags[c]
    if new != 0:
        note_flags(state.flagged_at[c], new, state.clock[0] + dt)
        flags[c] |= new
    stop_at_ends(own, state.stop, c)


@lean_kernel
def stop_at_ends(own: Reals, stop: Ints, c: int) -> None:
    """Stop the run where a circuit is no longer a number, or above the pressure that the model covers."""
    if not math.isfinite(own[f.P] + own[f.HEAT] + own[f.HELD] + own[f.OUTLET_T]):
        stop[0], stop[1] = f.NOT_FINITE, c
    elif own[f.P] > STOP_PRESSURE:
        stop[0], stop[1] = f.TOO_HIGH, c


@lean_kernel
def held_back(inlets: Inlets, position: Reals, p: float) -> bool:
    """Whether the circuit's pressure keeps the water behind an open valve from coming in.

    What others draw from the same supply counts: they may leave a valve that stands open nothing.
    """
    for v in range(inlets.first, inlets.end):
        stands_open = inlets.kinds[v] == f.WATER and position[v] > 0.0 and inlets.through[v] > 0.0
        if stands_open and (p >= inlets.pressure[v] or inlets.flows[v] <= 0.0):
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
