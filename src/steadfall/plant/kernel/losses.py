"""Heat from surfaces to ambient, leaks of gas streams, and heating that has not been shut off.

A surface of area A loses Q = A (h (Ts - Ta) + e sigma (Ts^4 - Ta^4)). What covers it (insulation, the gas
inside a casing) carries the same heat: A (T - Ts)/R. Free convection of air at 1 atm, properties at (Ts +
Ta)/2:

* upright: Nu = (0.825 + 0.387 Ra^(1/6) / (1 + (0.492/Pr)^(9/16))^(8/27))^2, all Ra (Churchill and Chu 1975;
  Incropera 6e, eq. 9.26), length = height;
* lying, warm face up (or cold face down): Nu = max(0.54 Ra^(1/4), 0.15 Ra^(1/3)), Ra 1e4 .. 1e11 (McAdams
1954;
  Incropera 6e, eq. 9.30 and 9.31, which change over at 1e7; the greater of both has no jump there, and is 6 %
  higher between 5e6 and 1e7), length = area over circumference;
* lying, warm face down: Nu = 0.27 Ra^(1/4), Ra 1e5 .. 1e10 (Incropera 6e, eq. 9.32).

A leak exchanges the heat capacity flow p V' c_p/(R T) with ambient, at constant pressure.

In the network a loss is its tangent at the temperature it was last prepared for: implicit, and off by the
curvature over at most 1 K and 2 % of the distance from ambient (below 1e-4 of the loss). Ambient gets exactly
what the node gives.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.constants import ATMOSPHERE, R_AIR, STEFAN_BOLTZMANN, G
from steadfall.plant import fields as f
from steadfall.plant.state import Constants, Ints, Reals, State

FRESH_LOSS, FRESH_SHARE, FRESH_LEAST = (
    1.0,
    0.02,
    0.01,
)  # K that a node may move before its loss is prepared anew:
# at most so many, at most so much of its distance from ambient, but so many in any case
# Air at 1 atm: ideal gas; Sutherland's law (White, Viscous Fluid Flow, tables 1-2 and 1-3, from memory)
AIR_DENSITY_T = ATMOSPHERE / R_AIR  # kg/m3 times K
AIR_CP = 1007.0  # J/kg/K (Incropera, table A.4, 300 .. 350 K)
AIR_MU, AIR_MU_S = 1.716e-5, 111.0
AIR_K, AIR_K_S = 0.0241, 194.0
AIR_FROM = 273.0
SURFACE_TRIALS = 60
SURFACE_WITHIN = 1e-9  # of the difference between node and ambient
DIFFERENCE = 0.01  # K, for the slope


@lean_kernel
def sutherland_law(at: float, constant: float, t: float) -> float:
    """A property of air by Sutherland's law."""
    ratio = t / AIR_FROM
    return float(at * ratio * math.sqrt(ratio) * (AIR_FROM + constant) / (t + constant))


@lean_kernel
def free_convection(length: float, face: float, surface: float, ambient: float) -> float:
    """Film coefficient of free convection of air, W/m2/K."""
    t = 0.5 * (surface + ambient)
    mu, k = sutherland_law(AIR_MU, AIR_MU_S, t), sutherland_law(AIR_K, AIR_K_S, t)
    nu = mu * t / AIR_DENSITY_T
    pr = AIR_CP * mu / k
    ra = G * abs(surface - ambient) / t * length**3 / (nu * nu) * pr
    if face == f.UPRIGHT:
        root = 0.825 + 0.387 * ra ** (1.0 / 6.0) / (1.0 + (0.492 / pr) ** (9.0 / 16.0)) ** (8.0 / 27.0)
        nusselt = root * root
    elif (face == f.UP) == (surface >= ambient):
        nusselt = max(0.54 * ra**0.25, 0.15 * ra ** (1.0 / 3.0))
    else:
        nusselt = 0.27 * ra**0.25
    return float(nusselt * k / length)


@lean_kernel
def surface_flux(row: Reals, surface: float, ambient: float) -> float:
    """W/m2 from a surface to ambient."""
    h = free_convection(row[f.X_LENGTH], row[f.X_FACE], surface, ambient)
    s2, a2 = surface * surface, ambient * ambient
    return float(h * (surface - ambient) + row[f.X_EMISSIVITY] * STEFAN_BOLTZMANN * (s2 * s2 - a2 * a2))


@lean_kernel
def surface_temperature(row: Reals, t: float, ambient: float) -> float:
    """Where what the cover lets through is what the surface loses: Illinois rule between ambient and node."""
    cover = row[f.X_COVER]
    if cover <= 0.0 or t == ambient:
        return t
    low, high = ambient, t
    low_f, high_f = -(t - ambient), cover * surface_flux(row, t, ambient)
    side = 0
    for _ in range(SURFACE_TRIALS):
        middle = (low * high_f - high * low_f) / (high_f - low_f)
        miss = cover * surface_flux(row, middle, ambient) - (t - middle)
        if abs(miss) <= SURFACE_WITHIN * abs(t - ambient):
            return float(middle)
        if miss * high_f > 0.0:
            high, high_f = middle, miss
            low_f *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            low, low_f = middle, miss
            high_f *= 0.5 if side == -1 else 1.0
            side = -1
    return float(0.5 * (low + high))


@lean_kernel
def loss_of(row: Reals, t: float, ambient: float) -> tuple[float, float]:
    """W from a node at t to ambient, and its slope (W/K)."""
    leak = row[f.X_LEAK]
    heat, slope = leak * (1.0 - ambient / t), leak * ambient / (t * t)
    if row[f.X_AREA] <= 0.0:
        return heat, slope
    surface = surface_temperature(row, t, ambient)
    above, below = surface + DIFFERENCE, surface - DIFFERENCE
    film = (surface_flux(row, above, ambient) - surface_flux(row, below, ambient)) / (2.0 * DIFFERENCE)
    heat += row[f.X_AREA] * surface_flux(row, surface, ambient)
    return heat, slope + row[f.X_AREA] * film / (1.0 + row[f.X_COVER] * film)


@lean_kernel
def losses_outdated(node: Ints, loss: Reals, nodes: Reals, ambient: float) -> bool:
    """Whether a node has moved away from the temperature that its loss was prepared for."""
    for k in range(node.size):
        at = loss[k, f.L_AT]
        if abs(nodes[node[k]] - at) > min(FRESH_LOSS, FRESH_SHARE * abs(at - ambient) + FRESH_LEAST):
            return True
    return False


@lean_kernel
def prepare_losses(constants: Constants, state: State) -> None:
    """Each loss and its slope at the temperature of now."""
    for k in range(constants.loss_node.size):
        t = state.nodes[constants.loss_node[k]]
        heat, slope = loss_of(constants.loss[k], t, constants.ambient)
        state.loss[k, f.L_AT], state.loss[k, f.L_HEAT], state.loss[k, f.L_SLOPE] = t, heat, slope


@lean_kernel
def lose(node: Ints, loss: Reals, nodes: Reals) -> float:
    """W of all losses at the nodes' temperatures."""
    total = 0.0
    for k in range(node.size):
        total += loss[k, f.L_HEAT] + loss[k, f.L_SLOPE] * (nodes[node[k]] - loss[k, f.L_AT])
    return total


@inlined_kernel
def heat_nodes(node: Ints, heater: Reals, source: Reals, now: float, dt: float) -> float:
    """Add the mean power of each heater over the step to its node; returns J of all."""
    total = 0.0
    for k in range(node.size):
        end = heater[k, f.E_UNTIL]
        first, last, decay = min(now, end), min(now + dt, end), heater[k, f.E_DECAY]
        if decay > 0.0:
            heat = heater[k, f.E_POWER] / decay * (math.exp(-decay * first) - math.exp(-decay * last))
        else:
            heat = heater[k, f.E_POWER] * (last - first)
        source[0, node[k]] += heat / dt
        total += heat
    return total
