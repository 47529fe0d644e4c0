"""Water hammer: the pressure wave in a full line when its valve closes.

It holds for a line full of water. With steam or air in it the wave is far slower and this bound does not
apply; steam that collapses on cold water (condensation-induced hammer) is another mechanism and is not
computed.
"""

from __future__ import annotations

import math

from attrs import frozen

from steadfall.constants import WATER
from steadfall.plan.model import Line, Material

BULK_MODULUS = (
    2.2e9  # Pa, water at 15 .. 20 degC (Subramanya, 1000 Solved Problems in Fluid Mechanics, chapter 14)
)


@frozen
class Closing:
    """What a closing does to its line."""

    surge: float  # Pa above the pressure that stands in it
    rapid: bool  # the valve is shut before the wave is back
    wave_time: float  # s, 2 L / a
    velocity: float  # m/s that is stopped


def korteweg_1878(
    bulk: float, density: float, slenderness: float, youngs_modulus: float, anchor: float
) -> float:
    """Speed of a pressure wave in a full elastic pipe, m/s.

    a = sqrt(K / rho / (1 + (K / E) (D / e) c1)). K [Pa], rho [kg/m3], D/e bore over wall [-], E [Pa]; c1 = 1
    - nu^2 for a pipe anchored along its length, 1 with expansion joints (Wylie and Streeter, Fluid
    Transients, 1978; from memory). Thin walls, D/e > 25; a thicker one is stiffer. K 1.43e9, rho 800, D/e
    125, E 207e9, c1 1: 980.4 m/s.
    """
    return math.sqrt(bulk / density / (1.0 + bulk / youngs_modulus * slenderness * anchor))


def joukowsky_1898(density: float, wave_speed: float, stopped: float) -> float:
    """Pressure rise when a velocity is stopped before the wave is back, Pa: rho a dV.

    rho [kg/m3], a [m/s], dV [m/s]; closing time at most 2 L / a (Wylie and Streeter; Subramanya, example
    14.13). 1000 kg/m3, 1483 m/s, 3 m/s: 4.45 MPa.
    """
    return density * wave_speed * stopped


def slow_closing(density: float, length: float, stopped: float, closing_time: float) -> float:
    """Pressure rise when a valve closes evenly in more than 2 L / a, Pa: 2 rho L dV / t.

    rho [kg/m3], L [m], dV [m/s], t [s] (Subramanya, example 14.18: 2.394 MPa). Even closing of the flow is
    assumed; a valve that does most of its work in the last part of its travel is worse.
    """
    return 2.0 * density * length * stopped / closing_time


def close(line: Line, solid: Material, flow: float, closing_time: float) -> Closing:
    """What stopping `flow` (kg/s) in `closing_time` (s) does to a line anchored along its length."""
    velocity = flow / (WATER * math.pi * line.bore**2 / 4)
    anchored = 1.0 - solid.poisson**2
    speed = korteweg_1878(BULK_MODULUS, WATER, line.bore / line.wall, solid.youngs_modulus, anchored)
    wave_time = 2.0 * line.length / speed
    rapid = closing_time <= wave_time
    if rapid:
        surge = joukowsky_1898(WATER, speed, velocity)
    else:
        surge = slow_closing(WATER, line.length, velocity, closing_time)
    return Closing(surge, rapid, wave_time, velocity)
