"""What can be seen of the plant at a moment: every quantity, read from where `Constants.seen` says it is."""

from __future__ import annotations

from steadfall.compiled import lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.feed import without_pumps
from steadfall.plant.state import Constants, Ints, Reals, State

OPEN_FROM, SHUT_UNTIL = 0.98, 0.02  # of the travel, where limit switches are set (common practice)


@lean_kernel
def observe(constants: Constants, state: State, out: Reals) -> None:
    """Fill `out` in the order of `Grid.observed` (SI)."""
    seen, circuit, position = constants.seen, state.circuit, state.position
    for i in range(seen.shape[0]):
        how, at, column = seen[i, f.HOW], seen[i, f.WHERE], seen[i, f.COLUMN]
        if how == f.SEEN_OWN:
            out[i] = circuit[at, column]
        elif how == f.SEEN_AFTER_COIL:
            out[i] = state.after_coil[at]
        elif how == f.SEEN_FAN_FLOW:
            moved = constants.stream_flow[at] / state.nodes[constants.stream_node[at]]
            out[i] = moved / constants.stream_heat[at]
        elif how == f.SEEN_BOOKS:
            out[i] = state.books[at, column]
        elif how == f.SEEN_STRESS:
            out[i] = circuit[at, column] * constants.circuit[at, f.STRESS]
        elif how == f.SEEN_POSITION:
            out[i] = position[at]
        elif how == f.SEEN_OPEN:
            out[i] = 1.0 if position[at] >= OPEN_FROM else 0.0
        elif how == f.SEEN_SHUT:
            out[i] = 1.0 if position[at] <= SHUT_UNTIL else 0.0
        elif how == f.SEEN_SUPPLY:
            out[i] = without_pumps(constants.supply[at], float(at), constants, position)
        else:
            out[i] = of_nodes(constants.capacity, state.nodes, seen[i])


@lean_kernel
def of_nodes(capacity: Reals, nodes: Reals, row: Ints) -> float:
    """A temperature, or a difference of temperatures, of the network's nodes."""
    how, at, column = row[f.HOW], row[f.WHERE], row[f.COLUMN]
    if how == f.SEEN_NODE:
        return float(nodes[at])
    if how == f.SEEN_MEAN:
        return mean(capacity, nodes, at, at + column)
    if how == f.SEEN_DIFFERENCE:
        return float(nodes[at] - nodes[column])
    if how == f.SEEN_AVERAGE:
        return average(nodes, at, column, row[f.STRIDE])
    if how == f.SEEN_LEFT_BEHIND:
        return mean(capacity, nodes, at, at + column) - lowest(nodes, at, column)
    hottest, coldest = highest(nodes, at, column), lowest(nodes, at, column)
    return hottest if how == f.SEEN_HOTTEST else coldest if how == f.SEEN_COLDEST else hottest - coldest


@lean_kernel
def mean(capacity: Reals, nodes: Reals, first: int, end: int) -> float:
    """The mean temperature of a body's nodes by their heat capacity, K."""
    heat = 0.0
    whole = 0.0
    for k in range(first, end):
        heat += capacity[k] * nodes[k]
        whole += capacity[k]
    return heat / whole


@lean_kernel
def average(nodes: Reals, first: int, count: int, stride: int) -> float:
    """The plain mean of some nodes, K."""
    total = 0.0
    for k in range(count):
        total += nodes[first + k * stride]
    return total / count


@lean_kernel
def highest(nodes: Reals, first: int, count: int) -> float:
    """The hottest of nodes that stand side by side, K."""
    found = nodes[first]
    for k in range(first + 1, first + count):
        found = max(found, nodes[k])
    return float(found)


@lean_kernel
def lowest(nodes: Reals, first: int, count: int) -> float:
    """The coldest of nodes that stand side by side, K."""
    found = nodes[first]
    for k in range(first + 1, first + count):
        found = min(found, nodes[k])
    return float(found)
