"""A circuit's path, wall, outlet and valves as the numbers the kernel needs.

Friction: Darcy f by Haaland (1983) at Re = 50 000, K = f L/d. Bends: K = 30 f_T each, f_T the fully turbulent
friction factor of the path (standard 90 degree elbow, Crane Technical Paper 410). Exit: one velocity head
(Crane 410).
"""

from __future__ import annotations

import math

import numpy as np

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import CircuitType, Path
from steadfall.plant.fields import GEOMETRY_FIELDS
from steadfall.plant.kernel.exchange import CONDENSING, DROPS
from steadfall.plant.law.properties import read_table, saturation_temperature
from steadfall.plant.state import Reals

DESIGN_RE = 5e4
RELIEF_RISE = (
    0.1  # of the set gauge pressure from first lift to full lift (common practice for safety valves: 10 %)
)
WETTING = 0.10  # liquid share of the volume that wets most of the bore (a closure, to be fitted)
MOST_SLIP = 20.0  # gas velocity over liquid velocity (a closure, to be fitted)


def haaland_1983(re: float, relative_roughness: float) -> float:
    """Darcy friction factor: 1/sqrt(f) = -1.8 log10((eD/3.7)^1.11 + 6.9/Re), Re 4e3 .. 1e8 (J. Fluids Eng.
    105, 89).
    """
    return float((-1.8 * math.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / re)) ** -2)


def pipe_heads(path: Path) -> float:
    """Velocity heads of friction and bends from end to end of one pass."""
    rough = path.roughness / path.bore
    turbulent = haaland_1983(1e9, rough)
    return haaland_1983(DESIGN_RE, rough) * path.length / path.bore + 30.0 * turbulent * path.bends


def geometry(kind: CircuitType, cells: int, host: tuple[float, float, float, float, float, float]) -> Reals:
    """One row of `Constants.circuit`; `host` = (outer shell to host W/K, skin resistance K/W, ambient K,
    Pa/K, shares of wall and host in what holds the bore).
    """
    path = kind.path
    row = np.zeros(GEOMETRY_FIELDS)
    area = path.passes * math.pi * path.bore**2 / 4
    relief_p, relief_kv = (kind.relief.opens_at, kind.relief.kv) if kind.relief else (math.inf, 0.0)
    band = RELIEF_RISE * max(relief_p - ATMOSPHERE, 1e4) if kind.relief else 1.0
    row[:] = (
        area,
        path.bore,
        area * path.length / cells,
        path.passes * math.pi * path.bore * path.length / cells,
        path.length / cells,
        pipe_heads(path),
        1.0,
        kind.outlet.kv,
        kind.outlet.pressure,
        relief_p if kind.relief else 1e12,
        band,
        relief_kv,
        host[1],
        host[0],
        host[2],
        boils_at(kind.outlet.pressure),
        host[3],
        host[4],
        host[5],
        WETTING,
        wet_all(WETTING),
        MOST_SLIP,
        DROPS,
        CONDENSING,
        0.0,
    )
    return row


def boils_at(pressure: float) -> float:
    """K at which water boils at a pressure in Pa, as the kernel has it."""
    return saturation_temperature(read_table("boiling"), pressure**0.25)


def wet_all(wetting: float) -> float:
    """The factor by which a full bore is all wet: 1/(1 - exp(-1/wetting))."""
    return 1.0 / (1.0 - math.exp(-1.0 / wetting))
