"""The thermal network: bodies, their shells, gas streams and ambient, one implicit step at a time.

Node i:  C_i dT_i/dt = sum_j G_ij (T_j - T_i) + G_ia (T_a - T_i) + S_i, by backward Euler:
(C/dt + L) dT = S - L T, so that the step is stable at any length and a network in balance stays exactly so.
A node without capacity is a surface.

Gas stream: the fan drives the heat capacity flow W = m c_p from the volume over the coil, which takes Q, then
over the bodies linked to the stream, side by side. With U = sum U_j and T_m = sum U_j T_j / U (exact for gas
that meets bodies of uniform temperature): T_after = T - Q/W, the bodies give W e (T_m - T_after), e = 1 -
exp(-U/W), and body j gives U_j (T_j - T_m) + U_j/U W e (T_m - T_after). This is a network of positive
conductances between T and the T_j, plus the share e of the coil's heat that the bodies feel in the same step.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.losses import lose, prepare_losses
from steadfall.plant.state import Constants, Ints, Reals, State

FRESH_FLOW = 1e-3  # relative change of the fan's heat capacity flow after which the network is prepared anew


@lean_kernel
def outdated(
    stream_node: Ints, stream_flow: Reals, prepared_flow: Reals, nodes: Reals, prepared_dt: float, dt: float
) -> bool:
    """Whether the network was prepared for another step length or gas temperature."""
    if dt != prepared_dt:
        return True
    for s in range(stream_node.size):
        flow = stream_flow[s] / nodes[stream_node[s]]
        if abs(flow - prepared_flow[s]) > FRESH_FLOW * flow:
            return True
    return False


@lean_kernel
def prepare(constants: Constants, state: State, dt: float) -> None:
    """Spread the gas streams over the network and invert it for this step length."""
    n = constants.capacity.size
    spread = state.spread
    links = constants.links
    for i in range(n + 1):
        for j in range(n + 1):
            spread[i, j] = links[i, j]
    for s in range(constants.stream_node.size):
        flow = constants.stream_flow[s] / state.nodes[constants.stream_node[s]]
        state.stream_capacity[s] = flow
        spread_stream(spread, constants.stream_links[s], constants.stream_node[s], flow)
    inverse = state.inverse
    for i in range(n):
        for j in range(n):
            inverse[i, j] = -spread[i, j]
        total = constants.capacity[i] / dt
        for j in range(n + 1):
            if j != i:
                total += spread[i, j]
        inverse[i, i] = total
    prepare_losses(constants, state)
    for k in range(constants.loss_node.size):
        node = constants.loss_node[k]
        inverse[node, node] += state.loss[k, f.L_SLOPE]
    invert(inverse)
    state.clock[1] = dt


@lean_kernel
def spread_stream(spread: Reals, ua: Reals, node: int, flow: float) -> None:
    """Add the conductances by which a gas stream ties its volume and its bodies together."""
    total = ua.sum()
    if total <= 0.0:
        return
    taken = flow * (1.0 - math.exp(-total / flow))
    for j in range(ua.size):
        if ua[j] > 0.0:
            spread[node, j] += ua[j] / total * taken
            spread[j, node] += ua[j] / total * taken
            for k in range(ua.size):
                if k != j and ua[k] > 0.0:
                    spread[j, k] += ua[j] * ua[k] / total * (1.0 - taken / total)


@lean_kernel
def invert(a: Reals) -> None:
    """Invert a diagonally dominant matrix in place (Gauss-Jordan; no pivoting is needed for such a
    matrix).
    """
    n = a.shape[0]
    for p in range(n):
        pivot = 1.0 / a[p, p]
        a[p, p] = 1.0
        for j in range(n):
            a[p, j] *= pivot
        for i in range(n):
            if i != p:
                factor = a[i, p]
                a[i, p] = 0.0
                for j in range(n):
                    a[i, j] -= factor * a[p, j]


@inlined_kernel
def advance_network(
    nodes: Reals, source: Reals, spread: Reals, inverse: Reals, ambient: float, loss_node: Ints, loss: Reals
) -> float:
    """One implicit step of every node; `source` (W, from the walls) is taken as it is. Returns W to
    ambient.
    """
    n = nodes.size
    to_ambient = 0.0
    for i in range(n):
        flow = spread[i, n] * (ambient - nodes[i])
        for j in range(n):
            flow += spread[i, j] * (nodes[j] - nodes[i])
        source[0, i] += flow
    for k in range(loss_node.size):
        source[0, loss_node[k]] -= loss[k, f.L_HEAT] + loss[k, f.L_SLOPE] * (
            nodes[loss_node[k]] - loss[k, f.L_AT]
        )
    for i in range(n):
        change = 0.0
        for j in range(n):
            change += inverse[i, j] * source[0, j]
        source[1, i] = change
    for i in range(n):
        nodes[i] += source[1, i]
        source[0, i] = 0.0
        to_ambient += spread[i, n] * (nodes[i] - ambient)
    return to_ambient + lose(loss_node, loss, nodes)


@inlined_kernel
def pass_coils(
    stream_node: Ints, links: Reals, capacity: Reals, nodes: Reals, source: Reals, after_coil: Reals
) -> float:
    """Note the gas behind each coil and hand the bodies behind it their share of the coil's heat; returns
    ambient's.
    """
    n = nodes.size
    to_ambient = 0.0
    for s in range(stream_node.size):
        node = stream_node[s]
        coil = -source[0, node]  # W that the coils take from the gas
        after_coil[s] = nodes[node] - coil / capacity[s]
        total = 0.0
        for j in range(n + 1):
            total += links[s, j]
        if total > 0.0 and coil != 0.0:
            felt = coil * (1.0 - math.exp(-total / capacity[s]))
            source[0, node] += felt
            for j in range(n):
                source[0, j] -= felt * links[s, j] / total
            to_ambient -= felt * links[s, n] / total
    return to_ambient
