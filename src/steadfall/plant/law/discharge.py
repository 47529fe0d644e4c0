"""What leaves a circuit: water, steam and air together through friction and valve, choked or not, by one
formula.

A homogeneous fluid whose volume grows as v/v0 = 1 + w (p0/p - 1) covers liquid (w = 0), gas at constant
temperature (w = 1) and water that flashes (w = 10 .. 100). Through K velocity heads, from rest at p0 to eta
p0 (momentum integral of a horizontal pipe):

    G^2 = 2 rho0 p0 I / (K + 2 ln(v/v0)),   I = integral from eta to 1 of dx / (1 + w (1/x - 1))
        = (1 - eta)/(1 - w) + w/(1 - w)^2 ln(w + (1 - w) eta)

It chokes at the eta where G is greatest: eta^2 (K + 2 ln v) = 2 w I (set the derivative to zero). The form is
that of Leung and Grolmes for flashing flow in a horizontal duct (AIChE J. 33 (1987) 524; from memory); for w
= 1 it is the isothermal gas pipe.
"""

from __future__ import annotations

import math

import numpy as np

from steadfall.compiled import kernel, lean_kernel
from steadfall.plant.state import Reals

W_LOW, W_HIGH, W_POINTS = math.log(1e-3), math.log(1e3), 41
K_LOW, K_HIGH, K_POINTS = math.log(0.5), math.log(1e5), 41
W_STEP, K_STEP = (W_HIGH - W_LOW) / (W_POINTS - 1), (K_HIGH - K_LOW) / (K_POINTS - 1)
OUT_SOFT = 300.0  # Pa below which the square-root law is made straight, so that its slope stays finite


@lean_kernel
def expansion_work(w: float, eta: float, growth: float) -> float:
    """The integral I; `growth` = ln(v/v0). Near w = 1 by its series to second order (error below 1e-5)."""
    d = 1.0 - w
    if abs(d) < 0.02:
        s1, s2, s3 = (1.0 - eta * eta) / 2.0, (1.0 - eta**3) / 3.0, (1.0 - eta**4) / 4.0
        return s1 + d * (s1 - s2) + d * d * (s1 - 2.0 * s2 + s3)
    return (1.0 - eta) / d + w / (d * d) * (growth + math.log(eta))


@lean_kernel
def choked_ratio(table: Reals, w: float, k: float) -> float:
    """Exit pressure over inlet pressure at which the discharge chokes, between the table's points."""
    at_w = min(max((math.log(w) - W_LOW) / W_STEP, 0.0), W_POINTS - 1.000001)
    at_k = min(max((math.log(k) - K_LOW) / K_STEP, 0.0), K_POINTS - 1.000001)
    i, j = int(at_w), int(at_k)
    u, v = at_w - i, at_k - j
    low = table[i, j] + v * (table[i, j + 1] - table[i, j])
    high = table[i + 1, j] + v * (table[i + 1, j + 1] - table[i + 1, j])
    return float(low + u * (high - low))


@lean_kernel
def mass_flux(p: float, back: float, rho: float, w: float, k: float, choke: Reals) -> tuple[float, float]:
    """Mass flux (kg/s/m2) from p to the back pressure through k velocity heads, and the exit pressure
    ratio.
    """
    if p <= back:
        return 0.0, 1.0
    eta = back / p
    if w > 1e-3:
        eta = max(eta, choked_ratio(choke, w, k))
    if w < 1e-6:
        squared = 2.0 * rho * p * (1.0 - eta) / k
    else:
        growth = math.log(1.0 + w * (1.0 / eta - 1.0))
        squared = 2.0 * rho * p * expansion_work(w, eta, growth) / (k + 2.0 * growth)
    drop = p - back
    return math.sqrt(squared * drop / (drop + OUT_SOFT)), eta


@kernel
def choke_table() -> Reals:
    """The choked ratio over ln w and ln K, each by bisection of eta^2 (K + 2 ln v) = 2 w I."""
    table = np.empty((W_POINTS, K_POINTS))
    for i in range(W_POINTS):
        w = math.exp(W_LOW + i * W_STEP)
        for j in range(K_POINTS):
            k = math.exp(K_LOW + j * K_STEP)
            low, high = 1e-9, 1.0
            for _ in range(60):
                eta = 0.5 * (low + high)
                growth = math.log(1.0 + w * (1.0 / eta - 1.0))
                if eta * eta * (k + 2.0 * growth) < 2.0 * w * expansion_work(w, eta, growth):
                    low = eta
                else:
                    high = eta
            table[i, j] = eta
    return table
