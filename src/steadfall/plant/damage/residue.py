"""Water left in a circuit after its finish: whether the next heat-up turns it to steam, and to how much."""

from __future__ import annotations

from steadfall.plant.law.properties import R_V, read_table, saturation_temperature

LEAST = 0.005  # kg, below which it is damp and not water


def steam_of(liquid: float, pressure: float, hot: float) -> float:
    """Volume that water left behind takes as steam once its metal is `hot` again, m3; 0 when it would not
    boil.

    V = m R T / p with R = 461.52 J/kg/K (ideal steam, within 2 % near 1 bar). liquid [kg], pressure behind
    the outlet [Pa], hot [K]. It boils where hot exceeds the boiling point at that pressure. 1 kg at 1 atm and
    373.15 K: 1.70 m3 (steam table: 1.673).
    """
    boils = saturation_temperature(read_table("boiling").copy(), pressure**0.25)
    if liquid < LEAST or hot <= boils:
        return 0.0
    return liquid * R_V * hot / pressure
