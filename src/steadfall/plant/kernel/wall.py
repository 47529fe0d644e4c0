"""The wall of each cell: shells from bore to host, stepped implicitly together with the heat the fluid takes.

Backward Euler of the shells, eliminated from the outside inwards, leaves the first shell as T = a - b Q with
Q the heat to the fluid, and the bore surface as a - (b + R) Q with R the resistance from the surface to the
shell's middle. The host is felt through g = G / (1 + dt sum G / C), as if each cell had its share of the
host's capacity for the length of a step: stable for any host, and the host gives exactly what the wall takes.
A gas stream is felt cell by cell as W (1 - exp(-G/W)), W the cell's share of the fan's heat capacity flow, so
that a coil cannot take more than the gas brings.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.host import most_drawn
from steadfall.plant.kernel.mouth import prepare_mouth
from steadfall.plant.state import Constants, Reals, State


@lean_kernel
def prepare_walls(constants: Constants, state: State, dt: float) -> None:
    """The shells' elimination for this step length and gas flow."""
    cells = state.cells.shape[1]
    circuits = constants.host.size
    for c in range(circuits):
        state.wall[c, f.W_FREE] = host_conductance(constants, state, c, cells)
    for c in range(circuits):
        free = state.wall[c, f.W_FREE]
        state.wall[c, f.W_HOST] = free / (1.0 + most_drawn(c, constants, state.wall, cells, dt))
        prepare_shells(state.wall[c], constants.shell_capacity[c], constants.shell_link[c], dt)
        for k in range(f.SHELLS):
            state.wall[c, f.W_EVEN + k] = 1.0 - math.exp(-dt * constants.shell_even[c, k])
        behind = state.wall[c, f.W_HOST] / constants.circuit[c, f.CELL_WALL]
        prepare_mouth(state.mouth[c], constants.mouth[c], behind, dt)
        state.wall[c, f.W_BS] = state.wall[c, f.W_B] + constants.circuit[c, f.R_SKIN]


@lean_kernel
def host_conductance(constants: Constants, state: State, c: int, cells: int) -> float:
    """W/K from the outer shell of one cell to its host."""
    stream = constants.host_stream[c]
    if stream < 0:
        return float(constants.circuit[c, f.G_HOST])
    conductance = film_at(constants.film[c], state.nodes[constants.stream_node[stream]])
    flow = state.stream_capacity[stream] * constants.host_share[c] / cells
    return float(flow * (1.0 - math.exp(-conductance / flow)))


@lean_kernel
def film_at(row: Reals, t: float) -> float:
    """W/K from wall to gas at the gas's temperature, between the table's points; its ends hold beyond it."""
    at = min(max((t - f.FILM_LOW) / f.FILM_STEP, 0.0), f.FILM_POINTS - 1.000001)
    k = int(at)
    return float(row[k] + (at - k) * (row[k + 1] - row[k]))


@lean_kernel
def prepare_shells(wall: Reals, capacity: Reals, link: Reals, dt: float) -> None:
    """Denominators and factors of the elimination, from the outer shell inwards."""
    last = f.SHELLS - 1
    outer, beta, total = wall[f.W_HOST], 0.0, capacity.sum()
    for k in range(last, -1, -1):
        inner = link[k - 1] if k > 0 else 0.0
        fall = 1.0 / (capacity[k] / dt + outer * (1.0 - beta) + inner)
        wall[f.W_KEEP + k], wall[f.W_PASS + k] = capacity[k] / dt * fall, outer * fall
        beta = inner * fall
        wall[f.W_BETA + k] = beta
        wall[f.W_PART + k] = capacity[k] / total
        wall[f.W_B] = fall
        outer = inner


@inlined_kernel
def eliminate(cells: Reals, work: Reals, wall: Reals) -> None:
    """Each shell's temperature if the fluid took no heat and the shell before it were at 0 K; the first: a
    itself.
    """
    for i in range(cells.shape[0]):
        alpha = work[i, f.HOST_T]
        for k in range(f.SHELLS - 1, -1, -1):
            alpha = wall[f.W_KEEP + k] * cells[i, f.W0 + k] + wall[f.W_PASS + k] * alpha
            work[i, f.ALPHA0 + k] = alpha


@lean_kernel
def take_heat(cells: Reals, work: Reals, wall: Reals, i: int, heat: float) -> float:
    """Set the shells of a cell after the fluid has taken `heat` (W); returns what the host gave (W)."""
    t = work[i, f.ALPHA0] - wall[f.W_B] * heat
    cells[i, f.W0] = t
    for k in range(1, f.SHELLS):
        t = work[i, f.ALPHA0 + k] + wall[f.W_BETA + k] * t
        cells[i, f.W0 + k] = t
    return float(wall[f.W_HOST] * (work[i, f.HOST_T] - t))
