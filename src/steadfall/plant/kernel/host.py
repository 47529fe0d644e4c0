"""How a circuit meets the parts of its host: what each cell feels of them, and what each part gives.

A cell that touches part s with the share w_s of its wall takes G w_s (T_s - T_wall) from it, so it feels the
host at sum w_s T_s, and the shares of a cell add up to 1. A host in one piece is one part.
"""

from __future__ import annotations

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.state import Circuit, Constants, Reals, State


@inlined_kernel
def feel_host(c: int, constants: Constants, nodes: Reals, work: Reals) -> None:
    """Set the temperature of the host as each cell of a circuit feels it, K."""
    first, parts, stride = constants.host[c], constants.host_parts[c], constants.host_stride[c]
    for i in range(work.shape[0]):
        felt = nodes[first]
        if parts > 1:
            felt = 0.0
            for s in range(parts):
                felt += constants.host_cells[c, i, s] * nodes[first + s * stride]
        work[i, f.HOST_T] = felt


@inlined_kernel
def draw_from_host(c: int, constants: Constants, state: State, circuit: Circuit) -> None:
    """Take from each part of the host what the walls of a circuit have taken in this step."""
    first, parts, stride = constants.host[c], constants.host_parts[c], constants.host_stride[c]
    if parts == 1:
        state.source[0, first] -= circuit.own[f.HOST_HEAT]
        return
    cells, link = circuit.cells, circuit.wall[f.W_HOST]
    for i in range(cells.shape[0]):
        wall = cells[i, f.W0 + f.SHELLS - 1]
        for s in range(parts):
            at = first + s * stride
            share = constants.host_cells[c, i, s] * cells[i, f.SIZE]
            state.source[0, at] -= link * share * (state.nodes[at] - wall)


@lean_kernel
def most_drawn(c: int, constants: Constants, walls: Reals, cells: int, dt: float) -> float:
    """By how much of its distance to its circuits' walls the part that is cooled hardest falls in a step."""
    first, parts, stride = constants.host[c], constants.host_parts[c], constants.host_stride[c]
    most = 0.0
    for s in range(parts):
        total = 0.0
        for other in range(constants.host.size):
            if constants.host[other] == first:
                touched = float(cells)
                if parts > 1:
                    touched = 0.0
                    for i in range(cells):
                        touched += constants.host_cells[other, i, s] * constants.cells_start[other, i, f.SIZE]
                total += touched * walls[other, f.W_FREE]
        most = max(most, dt * total / constants.capacity[first + s * stride])
    return most
