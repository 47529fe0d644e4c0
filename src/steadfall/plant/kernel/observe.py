"""What can be seen of the plant at a moment: every quantity, read from where `Constants.seen` says it is."""

from __future__ import annotations

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.state import Constants, Reals, State

OPEN_FROM, SHUT_UNTIL = 0.98, 0.02  # of the travel, where limit switches are set (common practice)


@lean_kernel
def observe(constants: Constants, state: State, out: Reals) -> None:
    """Fill `out` in the order of `Grid.observed` (SI)."""
    seen, circuit, position = constants.seen, state.circuit, state.position
    for i in range(seen.shape[0]):
        how, at, column = seen[i, f.HOW], seen[i, f.WHERE], seen[i, f.COLUMN]
        if how == f.SEEN_OWN:
            out[i] = circuit[at, column]
        elif how == f.SEEN_NODE:
            out[i] = state.nodes[at]
        elif how == f.SEEN_MEAN:
            out[i] = mean(constants.capacity, state.nodes, at, at + column)
        elif how == f.SEEN_DIFFERENCE:
            out[i] = state.nodes[at] - state.nodes[column]
        elif how == f.SEEN_AFTER_COIL:
            out[i] = state.after_coil[at]
        elif how == f.SEEN_BOOKS:
            out[i] = state.books[at, column]
        elif how == f.SEEN_STRESS:
            out[i] = circuit[at, column] * constants.circuit[at, f.STRESS]
        elif how == f.SEEN_POSITION:
            out[i] = position[at]
        elif how == f.SEEN_OPEN:
            out[i] = 1.0 if position[at] >= OPEN_FROM else 0.0
        else:
            out[i] = 1.0 if position[at] <= SHUT_UNTIL else 0.0


@lean_kernel
def mean(capacity: Reals, nodes: Reals, first: int, end: int) -> float:
    """The mean temperature of a body's nodes by their heat capacity, K."""
    heat = 0.0
    whole = 0.0
    for k in range(first, end):
        heat += capacity[k] * nodes[k]
        whole += capacity[k]
    return heat / whole
