"""Make the tables of coefficients that the plant's kernel reads, from IAPWS-95 by CoolProp and our
correlations.

Run by hand: `python tests/make_tables.py`. tests/plant/test_tables.py fails when the shipped files no longer
agree.
"""

from __future__ import annotations

from pathlib import Path

import CoolProp
import numpy as np
from CoolProp.CoolProp import PropsSI

from steadfall.plant.law import correlations as c
from steadfall.plant.law import properties as p

FOLDER = Path(__file__).parents[1] / "src" / "steadfall" / "plant" / "tables"
BOILING = (
    "fourth_root_Pa,t_sat_K,nucleate_W_m2K3,peak_W_m2,per_subcooling_1_K,dt_minimum_K,film_W_m2K0.75,omega"
)
LIQUID = "t_K,turbulent_SI,conductivity_W_mK,viscosity_m2_s"
FILM_SUPERHEAT = 75.0  # K above saturation at which the vapour film's properties are taken


def saturated(pressure: float) -> c.Saturated:
    """Water and its vapour at a pressure, from IAPWS-95 and the IAPWS transport releases."""

    def of(what: str, quality: int) -> float:
        return float(PropsSI(what, "P", pressure, "Q", quality, "Water"))

    t = of("T", 0)

    def film(what: str) -> float:
        return float(PropsSI(what, "P", pressure, "T", t + FILM_SUPERHEAT, "Water"))

    return c.Saturated(
        temperature=t,
        pressure=pressure,
        rho_l=of("D", 0),
        rho_v=of("D", 1),
        h_fg=of("H", 1) - of("H", 0),
        sigma=of("I", 0),
        cp_l=of("C", 0),
        mu_l=of("V", 0),
        k_l=of("L", 0),
        rho_film=film("D"),
        k_film=film("L"),
        mu_film=film("V"),
        cp_film=film("C"),
    )


def boiling_row(x: float) -> list[float]:
    """One row of the table over the fourth root of pressure."""
    s = saturated(x**4)
    peak, nucleate = c.zuber_1959(s), c.rohsenow_1952(s)
    at_peak = (peak / nucleate) ** (1 / 3)
    minimum = min(c.berenson_1961_minimum(s), c.HOMOGENEOUS_NUCLEATION - s.temperature)
    return [
        x,
        s.temperature,
        nucleate,
        peak,
        c.ivey_morris_1962(s),
        max(minimum, 2.5 * at_peak),
        c.berenson_1961_film(s),
        c.leung_1986(s),
    ]


def liquid_row(t: float) -> list[float]:
    """One row of the table over temperature: compressed water at 60 bar, so that it is liquid all along."""
    rho, mu, k, cp = (
        float(PropsSI(what, "T", max(t, 273.16), "P", 6e6, "Water")) for what in ("D", "V", "L", "C")
    )
    return [t, c.dittus_boelter(rho, mu, k, cp), k, mu / rho]


def boiling_table() -> np.ndarray:
    return np.array([boiling_row(p.X_LOW + i * p.X_STEP) for i in range(p.X_POINTS)])


def liquid_table() -> np.ndarray:
    return np.array([liquid_row(p.T_LOW + i * p.T_STEP) for i in range(p.T_POINTS)])


def write(name: str, title: str, heading: str, table: np.ndarray) -> None:
    lines = [
        f"# {title}",
        f"# IAPWS-95 and the IAPWS transport releases by CoolProp {CoolProp.__version__};"
        " correlations as in plant/law/correlations.py.",
        "# Made by tests/make_tables.py; compared with CoolProp and ht by tests/plant/test_tables.py.",
        heading,
        *(",".join(f"{value:.9g}" for value in row) for row in table),
    ]
    (FOLDER / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(
        "boiling",
        "Saturation and boiling of water over the fourth root of pressure.",
        BOILING,
        boiling_table(),
    )
    write("liquid", "Forced convection of liquid water over temperature.", LIQUID, liquid_table())
