"""Boiling: nucleate, peak, minimum, film; and the slip of steam over water."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plant import fields as f
from steadfall.plant.kernel.settle import pass_on
from steadfall.plant.law import correlations as c
from steadfall.plant.law import properties as p
from steadfall.plant.law.boiling import boiling_flux
from steadfall.plant.tables.make import saturated
from tests.physics.check import Check, Group, Row, Scatter

AT_1_ATM = c.Saturated(  # as Incropera 6e, example 10.1, rounds it
    temperature=373.15,
    pressure=ATMOSPHERE,
    rho_l=957.9,
    rho_v=0.5956,
    h_fg=2257e3,
    sigma=58.9e-3,
    cp_l=4217.0,
    mu_l=279e-6,
    k_l=4217 * 279e-6 / 1.76,
    rho_film=0.4902,
    k_film=0.0299,
    mu_film=15.25e-6,
)
NUKIYAMA = ((3.0, 2.2e3), (8.0, 57.9e3), (13.5, 227.6e3), (18.8, 529.7e3))  # K, W/m2
HIGHEST_OF_WIRE = 1694e3  # W/m2 at 46.5 K
TUBES_2003 = ((100.0, 166.0), (200.0, 180.0), (300.0, 203.0))  # K, W/m2/K at 0.1 MPa, G 200 kg/m2/s, x 0.2


def nucleate() -> Iterator[Row]:
    q = c.rohsenow_1952(AT_1_ATM, c_sf=0.0128) * 18.0**3
    yield Check(
        "nucleate boiling, copper pan, 18 K", "Incropera 6e, example 10.1: 836", 836.57e3, q, 2e-3, "W/m2"
    )
    kreith = evolve(
        AT_1_ATM,
        rho_l=962.0,
        rho_v=0.60,
        h_fg=2.25e6,
        sigma=0.0588,
        cp_l=4211.0,
        mu_l=2.77e-4,
        k_l=4211 * 2.77e-4 / 1.75,
    )
    q = c.rohsenow_1952(kreith, c_sf=0.0132) * 6.0**3
    yield Check(
        "nucleate boiling, 6 K, C_sf 0.0132", "Kreith 7e, example 10.1 recomputed", 28673.9, q, 1e-3, "W/m2"
    )


def measured() -> Iterator[Row]:
    table = p.read_table("boiling").copy()
    x = ATMOSPHERE**0.25
    t_sat = p.saturation_temperature(table, x)
    source = "measured: Nukiyama 1934, table 3 (Int. J. Heat Mass Transfer 9 (1966) 1419), nichrome wire"
    for dt, flux in NUKIYAMA:
        got = boiling_flux(table, p.row_of_pressure(x), t_sat + dt, t_sat, t_sat)[0]
        yield Scatter(f"nucleate boiling at {dt:g} K of superheat", source, flux, got, 2.0, "W/m2")
    peak = p.tabulated(table, p.row_of_pressure(x), p.Q_PEAK)
    yield Check("highest flux of the wire", source, HIGHEST_OF_WIRE, peak, 0.4, "W/m2")


def peak() -> Iterator[Row]:
    book = "Incropera 6e, example 10.1: 1.26 MW/m2"
    yield Check("peak heat flux, C 0.149", book, 1.25865e6, c.zuber_1959(AT_1_ATM, 0.149), 1e-3, "W/m2")
    lienhard = evolve(AT_1_ATM, rho_v=0.597, rho_l=958.197, sigma=0.0589)
    got = c.zuber_1959(lienhard, 0.149)
    yield Check(
        "peak heat flux, flat plate",
        "Lienhard 3e, example 9.5 (1.16 in the figure)",
        1.2599e6,
        got,
        2e-3,
        "W/m2",
    )
    kreith = evolve(AT_1_ATM, rho_l=962.0, rho_v=0.60, h_fg=2.25e6, sigma=0.0588)
    got = c.zuber_1959(kreith, math.pi / 24)
    yield Check("peak heat flux, C pi/24", "Kreith 7e, example 10.1", 1.1071e6, got, 3e-3, "W/m2")
    got = c.zuber_1959(lienhard, 0.9 * 0.131) * 0.04 / 1e3
    yield Check(
        "peak rate of a body of 400 cm2 in a quench", "Lienhard 3e, example 9.7", 39.88, got, 3e-3, "kW"
    )


def film() -> Iterator[Row]:
    got = c.berenson_1961_film(AT_1_ATM) * 155.0**-0.25
    yield Check(
        "film boiling at 155 K, ours over a plate",
        "Bromley, cylinder of 6 mm, Incropera 6e, example 10.2",
        238.0,
        got,
        0.5,
        "W/m2/K",
    )
    s = saturated(1e5)
    source = "Groeneveld et al., Nucl. Eng. Des. 225 (2003) 83, tube, 0.1 MPa, G 200, x 0.2"
    for dt, h in TUBES_2003:
        yield Check(
            f"film boiling at {dt:g} K", source, h, c.berenson_1961_film(s) * dt**-0.25, 0.6, "W/m2/K"
        )


def void() -> float:
    """Void fraction of a cell that passes 40 % steam on, at a density ratio of 320 (800 over 2.5)."""
    x, density = 0.4, 1 / (320.0 * p.volume_of_liquid(126.85))
    cells, work = np.ones((1, f.CELL_FIELDS)), np.zeros((1, f.WORK_FIELDS))
    pressure = density * p.R_V * 400.0
    filled = [f.N_ML, f.N_MV, f.N_TL, f.N_TG, f.N_OUT_L, f.N_OUT_G]
    work[0, filled] = (1.0, 1.0, 400.0, 400.0, 1 - x, x)
    pass_on(cells, work, 0, pressure, 20.0, 1.0)
    return float(1 / (1 + cells[0, f.SLIP] * (1 - x) / x / 320.0))


def slip() -> Iterator[Row]:
    """Other correlations of the same case; ours is Chisholm's."""
    got = void()
    for name, other in (("Zivi", 0.968933990906), ("Smith", 0.959981235534), ("Fauske", 0.922634726263)):
        yield Check("void fraction, x 0.4, 800 and 2.5 kg/m3", f"{name} (fluids)", other, got, 0.03)


def rows() -> Iterator[Row]:
    for part in (nucleate, measured, peak, film, slip):
        yield from part()


BOILING = Group(
    "Boiling and two phases",
    "Pool correlations on the wetted share of the bore. Measured values scatter by a factor of 2 in "
    "nucleate boiling,\n"
    "20 % at the peak, a factor of 2 and more in film boiling; the tolerances of those rows say so.",
    rows,
)
