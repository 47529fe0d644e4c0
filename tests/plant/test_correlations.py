"""Correlations against worked examples of textbooks."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS
from steadfall.plant.law import boiling as b
from steadfall.plant.law import correlations as c
from steadfall.plant.law import properties as p
from steadfall.plant.tables.make import saturated

INCROPERA_10_1 = c.Saturated(  # water at 1 atm as the book rounds it (6th ed., example 10.1, p. 632)
    temperature=373.15,
    pressure=ATMOSPHERE,
    rho_l=957.9,
    rho_v=0.5956,
    h_fg=2257e3,
    sigma=58.9e-3,
    cp_l=4217.0,
    mu_l=279e-6,
    k_l=4217 * 279e-6 / 1.76,
    rho_film=0.5956,
    k_film=0.0248,
    mu_film=12e-6,
)


def test_rohsenow_incropera_10_1() -> None:
    """Copper pan at 118 degC, C_sf 0.0128: 836 kW/m2."""
    assert c.rohsenow_1952(INCROPERA_10_1, c_sf=0.0128) * 18.0**3 == pytest.approx(836e3, rel=2e-3)


def test_rohsenow_kreith_10_1() -> None:
    """Kreith 7th ed., example 10.1: 106 degC, C_sf 0.0132: 28 669 W/m2 (printed 29 669)."""
    s = evolve(
        INCROPERA_10_1, rho_l=962.0, rho_v=0.60, h_fg=2.25e6, sigma=0.0588, cp_l=4211.0, mu_l=2.77e-4,
        k_l=4211 * 2.77e-4 / 1.75,
    )  # fmt: skip
    assert c.rohsenow_1952(s, c_sf=0.0132) * 6.0**3 == pytest.approx(28_669, rel=2e-3)


def test_zuber_incropera_10_1() -> None:
    """1.26 MW/m2 with C = 0.149, 1.11 with pi/24."""
    assert c.zuber_1959(INCROPERA_10_1, 0.149) == pytest.approx(1.26e6, rel=3e-3)
    assert c.zuber_1959(INCROPERA_10_1) == pytest.approx(1.11e6, rel=5e-3)


def test_film_collapse_in_a_tube() -> None:
    """Groeneveld and Stewart 1982 by hand: 289.1 degC at 1 bar, 325.1 at 10 bar; 6.35 K a K at 1 bar."""
    assert c.groeneveld_stewart_1982(1e5) - ZERO_CELSIUS == pytest.approx(289.07, abs=0.01)
    assert c.groeneveld_stewart_1982(10e5) - ZERO_CELSIUS == pytest.approx(325.09, abs=0.01)
    slope = c.groeneveld_stewart_1982_subcooled(saturated(1e5))
    assert slope == pytest.approx(1e4 / 2.942 * 4215.2 / 2.25751e6, rel=1e-3)


def test_the_wall_at_which_a_film_collapses_is_bounded() -> None:
    """Beyond 50 K no more subcooling counts."""
    table = p.read_table("boiling").copy()
    row, boils = p.row_of_pressure(1e5**0.25), 372.76
    for sub, regime in ((49.0, b.FILM), (49.9, b.TRANSITION), (95.0, b.TRANSITION)):
        assert b.boiling_flux(table, row, 289.07 + 273.15 + 6.347 * 49.5, boils - sub, boils)[2] == regime
    assert b.boiling_flux(table, row, 289.07 + 273.15 + 6.347 * 50.5, boils - 95.0, boils)[2] == b.FILM


def test_film_coefficient_lies_in_the_range_measured_in_tubes() -> None:
    """Groeneveld et al., Nucl. Eng. Des. 225 (2003) 83: 50 .. 1000 W/m2/K near 1 bar at 100 .. 300 K."""
    factor = c.berenson_1961_film(saturated(ATMOSPHERE))
    for dt in (100.0, 200.0, 300.0):
        assert 50 < factor * dt**-0.25 < 1000


def test_dittus_boelter_incropera_11_1() -> None:
    """Water at 0.2 kg/s in a 25 mm tube, mu 725e-6, k 0.625, Pr 4.85: Re 14 050, Nu 90, h 2250 (6th ed., p.
    680).
    """
    mu, k, rho = 725e-6, 0.625, 1000.0
    u = 0.2 / (rho * math.pi * 0.025**2 / 4)
    h = c.dittus_boelter(rho, mu, k, 4.85 * k / mu) * u**0.8 / 0.025**0.2
    assert h == pytest.approx(2250, rel=2e-3)


def test_leung_omega_of_saturated_water() -> None:
    """From its definition with steam-table values at 5 bar (IAPWS-95): v_fg 0.37371, h_fg 2107.9e3, c_p
    4311.
    """
    expected = 915.3 * 4311 * 424.99 * 5e5 * (0.37371 / 2107.9e3) ** 2
    assert c.leung_1986(saturated(5e5)) == pytest.approx(expected, rel=2e-3)


@pytest.fixture(scope="module")
def table() -> np.ndarray:
    return p.read_table("boiling").copy()


def flux(
    table: np.ndarray, dt: float, sub: float = 0.0, pressure: float = ATMOSPHERE
) -> tuple[float, float, int]:
    x = pressure**0.25
    t_sat = p.saturation_temperature(table, x)
    return b.boiling_flux(table, p.row_of_pressure(x), t_sat + dt, t_sat - sub, t_sat)


def test_the_curve_rises_peaks_falls_and_rises_again(table: np.ndarray) -> None:
    got = [flux(table, dt) for dt in (-5.0, 5.0, 15.0, 19.0, 25.0, 60.0, 180.0, 195.0, 300.0)]
    assert [regime for _, _, regime in got] == [
        b.CONVECTION, b.NUCLEATE, b.NUCLEATE, b.NUCLEATE, b.TRANSITION, b.TRANSITION, b.TRANSITION, b.FILM,
        b.FILM,
    ]  # fmt: skip
    q = [value for value, _, _ in got]
    assert q[0] == 0.0
    assert q[1] < q[2] < q[3]
    assert q[4] > q[5] > q[6]
    assert q[8] > q[7]
    assert max(q) < 1.15e6


def test_the_curve_has_no_jump_in_boiling_heat(table: np.ndarray) -> None:
    for sub in (0.0, 20.0, 80.0):
        for low in np.arange(1.0, 600.0, 0.25):
            here, there = flux(table, low, sub)[0], flux(table, low + 1e-6, sub)[0]
            assert there == pytest.approx(here, rel=1e-5)


def test_nukiyama_1934_nucleate_boiling_on_a_wire(table: np.ndarray) -> None:
    """Nukiyama 1934, table 3 (Int. J. Heat Mass Transfer 9 (1966) 1419): nichrome wire, 8 K 57.9, 13.5 K 228
    kW/m2.

    The correlation scatters by a factor of 2.
    """
    for dt, measured in ((8.0, 57.9e3), (13.5, 227.6e3)):
        assert 0.5 < flux(table, dt)[0] / measured < 2.0
