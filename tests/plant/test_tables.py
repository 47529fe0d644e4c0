"""The shipped tables against what made them and against published values."""

from __future__ import annotations

import re

import ht
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS
from steadfall.plant.law import properties as p
from steadfall.plant.tables import make


@pytest.mark.parametrize("name", make.TABLES)
def test_a_shipped_table_is_what_makes_it(name: str) -> None:
    """The nine digits of the file, the last one aside; what stands above them to the letter."""
    shipped, made = (
        (head(text), rows(text))
        for text in (make.path_of(name).read_text(encoding="utf-8"), make.TABLES[name].text())
    )
    assert shipped[0] == made[0], "run `make docs`"
    np.testing.assert_allclose(shipped[1], made[1], rtol=2e-8, err_msg="run `make docs`")


def head(text: str) -> list[str]:
    """The lines above the numbers, CoolProp's version aside."""
    return [
        re.sub(r"CoolProp [\d.]+", "CoolProp", line) for line in text.splitlines() if not line[0].isdigit()
    ]


def rows(text: str) -> list[list[float]]:
    """The numbers."""
    return [[float(cell) for cell in line.split(",")] for line in text.splitlines() if line[0].isdigit()]


@pytest.mark.parametrize(("pressure", "kelvin"), [(0.1e6, 372.755919), (1e6, 453.035632)])
def test_saturation_temperature_iapws_if97_table_36(pressure: float, kelvin: float) -> None:
    """IAPWS R7-97(2012), table 36."""
    assert p.saturation_temperature(p.read_table("boiling").copy(), pressure**0.25) == pytest.approx(
        kelvin, abs=0.03
    )


def test_saturation_pressure_iapws_if97_table_35() -> None:
    """IAPWS R7-97(2012), table 35: 500 K boils at 2.63889776 MPa."""
    assert p.saturation_temperature(p.read_table("boiling").copy(), 2.63889776e6**0.25) == pytest.approx(
        500, abs=0.03
    )


def test_interpolation_between_points_is_fine_enough() -> None:
    """Linear between 160 points: saturation within 0.03 K, coefficients within 0.3 % of a fresh
    evaluation.
    """
    table = p.read_table("boiling").copy()
    for pressure in (0.05e5, 0.9e5, 1.013e5, 3.3e5, 7e5, 15e5, 39e5):
        row = np.array(make.boiling_row(pressure**0.25))
        at = p.row_of_pressure(pressure**0.25)
        got = np.array([p.tabulated(table, at, column) for column in range(table.shape[1])])
        assert got[0] == pytest.approx(row[0], abs=0.03)
        np.testing.assert_allclose(got[1:], row[1:], rtol=3e-3)


@pytest.mark.parametrize("pressure", [1e5, 5e5, 10e5])
def test_nucleate_and_peak_against_ht(pressure: float) -> None:
    """The library `ht` implements Rohsenow and Zuber on its own."""
    s = make.saturated(pressure)
    table = p.read_table("boiling").copy()
    at = p.row_of_pressure(pressure**0.25)
    h = ht.Rohsenow(s.rho_l, s.rho_v, s.mu_l, s.k_l, s.cp_l, s.h_fg, s.sigma, Te=10.0, Csf=0.013, n=1.0)
    assert p.tabulated(table, at, p.C_NUCLEATE) * 10.0**3 == pytest.approx(h * 10.0, rel=4e-3)
    peak = ht.Zuber(s.sigma, s.h_fg, s.rho_l, s.rho_v, K=0.131)
    assert p.tabulated(table, at, p.Q_PEAK) == pytest.approx(peak, rel=2e-3)


@pytest.mark.parametrize(
    ("celsius", "per_cent"),
    [(60, 0.5), (80, 0.3), (100, 0.05), (120, 0.5), (140, 1.1), (160, 1.9), (200, 4.8)],
)
def test_heat_of_evaporation_stays_within_the_error_that_is_documented(
    celsius: float, per_cent: float
) -> None:
    kelvin = celsius + ZERO_CELSIUS
    real = PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")
    assert p.heat_of_evaporation(kelvin) == pytest.approx(real, rel=per_cent / 100)


def test_water_from_20_degc_to_steam_of_200_degc() -> None:
    """IAPWS-95: 2791.4 kJ/kg at 1 atm; the constant-property enthalpies give it within 0.2 %."""
    ours = p.H_0 + p.C_V * 200 - p.C_L * 20
    real = PropsSI("H", "T", 473.15, "P", ATMOSPHERE, "Water") - PropsSI(
        "H", "T", 293.15, "P", ATMOSPHERE, "Water"
    )
    assert real == pytest.approx(2791.4e3, rel=1e-4)
    assert ours == pytest.approx(real, rel=2e-3)


def test_density_of_water_at_its_temperature() -> None:
    """IAPWS-95 at saturation: within 0.03 % up to 200 degC and 0.1 % up to 275; at 10 bar within 0.06 %."""
    for celsius in np.linspace(0.02, 200.0, 81):
        expected = PropsSI("D", "T", celsius + ZERO_CELSIUS, "Q", 0, "Water")
        assert 1 / p.volume_of_liquid(celsius) == pytest.approx(expected, rel=3e-4)
    for celsius in (225.0, 250.0, 275.0):
        expected = PropsSI("D", "T", celsius + ZERO_CELSIUS, "Q", 0, "Water")
        assert 1 / p.volume_of_liquid(celsius) == pytest.approx(expected, rel=1e-3)
    for celsius in (5.0, 50.0, 100.0, 150.0):
        expected = PropsSI("D", "T", celsius + ZERO_CELSIUS, "P", 1e6, "Water")
        assert 1 / p.volume_of_liquid(celsius) == pytest.approx(expected, rel=6e-4)


def test_density_holds_beyond_its_ends() -> None:
    assert p.volume_of_liquid(-40.0) == p.volume_of_liquid(0.0)
    assert p.volume_of_liquid(1e6) == p.volume_of_liquid(275.0)
