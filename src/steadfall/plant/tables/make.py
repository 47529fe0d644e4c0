"""Makes the tables that the kernel reads, from IAPWS-95 by CoolProp and our correlations.

Rule of this file: nothing that runs imports it, since CoolProp comes with the development tools alone; `make
docs` runs it, and a test fails when a shipped table is not what it makes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import CoolProp
from attrs import frozen
from CoolProp.CoolProp import PropsSI

from steadfall.constants import TRIPLE_POINT
from steadfall.plant.law import correlations as c
from steadfall.plant.law import properties as p

FOLDER = Path(__file__).parent
COMPRESSED = 6e6  # Pa, at which water is liquid all along the table over temperature


@frozen
class Table:
    """A table to be shipped: what stands above it, and how its rows come about."""

    title: str
    heading: str
    at: tuple[float, ...]
    row: Callable[[float], list[float]]

    def rows(self) -> list[list[float]]:
        """The place of each row and what belongs to it."""
        return [[at, *self.row(at)] for at in self.at]

    def text(self) -> str:
        """The file."""
        lines = [
            f"# {self.title}",
            f"# IAPWS-95 and the IAPWS transport releases by CoolProp {CoolProp.__version__};"
            " correlations as in plant/law/correlations.py.",
            "# Made by `make docs` (plant/tables/make.py); compared with CoolProp and ht by the tests.",
            self.heading,
            *(",".join(f"{value:.9g}" for value in row) for row in self.rows()),
        ]
        return "\n".join(lines) + "\n"


def saturated(pressure: float) -> c.Saturated:
    """Water and its vapour at a pressure (Pa), from IAPWS-95 and the IAPWS transport releases."""

    def of(what: str, quality: int) -> float:
        return float(PropsSI(what, "P", pressure, "Q", quality, "Water"))

    t = of("T", 0)
    between = 0.5 * (
        t + c.groeneveld_stewart_1982(pressure)
    )  # a film has metal at one side, water at the other

    def film(what: str) -> float:
        return float(PropsSI(what, "P", pressure, "T", between, "Water"))

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
    )


def boiling_row(x: float) -> list[float]:
    """Saturation and boiling at a pressure, given its fourth root."""
    s = saturated(x**4)
    return [
        s.temperature,
        c.rohsenow_1952(s),
        c.zuber_1959(s),
        c.ivey_morris_1962(s),
        c.groeneveld_stewart_1982(s.pressure) - s.temperature,
        c.berenson_1961_film(s),
        c.leung_1986(s),
        c.groeneveld_stewart_1982_subcooled(s),
    ]


def liquid_row(t: float) -> list[float]:
    """Forced convection of liquid water at a temperature (K), and the pressure at which it boils."""
    liquid = max(t, TRIPLE_POINT)  # the table begins at 0 degC
    rho, mu, k, cp = (
        float(PropsSI(what, "T", liquid, "P", COMPRESSED, "Water")) for what in ("D", "V", "L", "C")
    )
    boils = float(PropsSI("P", "T", liquid, "Q", 0, "Water"))
    return [c.dittus_boelter(rho, mu, k, cp), k, mu / rho, boils**0.25]


TABLES: Mapping[str, Table] = {
    "boiling": Table(
        "Saturation and boiling of water over the fourth root of pressure.",
        "fourth_root_Pa,t_sat_K,nucleate_W_m2K3,peak_W_m2,per_subcooling_1_K,dt_minimum_K,film_W_m2K0.75,omega,"
        "dt_minimum_per_subcooling",
        tuple(p.X_LOW + i * p.X_STEP for i in range(p.X_POINTS)),
        boiling_row,
    ),
    "liquid": Table(
        "Forced convection and saturation of liquid water over temperature.",
        "t_K,turbulent_SI,conductivity_W_mK,viscosity_m2_s,saturation_fourth_root_Pa",
        tuple(p.T_LOW + i * p.T_STEP for i in range(p.T_POINTS)),
        liquid_row,
    ),
}


def path_of(name: str) -> Path:
    """Where a table lies."""
    return FOLDER / f"{name}.csv"


def write_tables() -> None:
    """Write every table anew."""
    for name, table in TABLES.items():
        path_of(name).write_text(table.text(), encoding="utf-8")
