"""Valves and outlet against standards, closed formulas and an equilibrium maximum computed from steam
tables.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.compressible import isothermal_gas
from fluids.control_valve import size_control_valve_g
from scipy.optimize import minimize_scalar

from steadfall.constants import ATMOSPHERE, R_AIR, WATER, ZERO_CELSIUS
from steadfall.plan.model import Relief
from steadfall.plant import fields as f
from steadfall.plant.grid.path import haaland_1983, pipe_heads
from steadfall.plant.law.correlations import leung_1986
from steadfall.plant.law.discharge import choke_table, choked_ratio, mass_flux
from steadfall.plant.law.valve import air_through, water_through
from steadfall.plant.tables.make import saturated
from tests.plant import plants
from tests.plant.plants import KV
from tests.plant.running import Run


@pytest.fixture(scope="module")
def choke() -> np.ndarray:
    return choke_table()


def test_water_by_the_definition_of_kv() -> None:
    """Kv 0.45 m3/h at 4 bar passes 0.9 m3/h (definition of Kv, IEC 60534-1)."""
    assert water_through(0.45 * KV, 5e5, 1e5) * 3.6 == pytest.approx(0.900, rel=1e-3)
    assert water_through(0.45 * KV, 1e5, 1e5) == water_through(0.45 * KV, 1e5, 5e5) == 0.0


def test_water_law_is_straight_at_small_drops() -> None:
    slopes = [water_through(KV, 1e5 + d, 1e5) / d for d in (1e-3, 1e-1, 10.0)]
    assert max(slopes) / min(slopes) < 1.02


@pytest.mark.parametrize("after", [5.5e5, 4e5, 2.5e5, 1e5])
def test_air_by_iec_60534(after: float) -> None:
    """The library `fluids` sizes a valve for the flow that we give ours: Kv comes back (choked below 2
    bar).
    """
    flow = air_through(0.9 * KV, 6e5, 293.15, after)
    normal = flow / (ATMOSPHERE / (R_AIR * ZERO_CELSIUS))  # m3/s at 0 degC, 1 atm, as the library wants it
    kv = size_control_valve_g(
        T=293.15, MW=28.965, mu=1.8e-5, gamma=1.4, Z=1.0, P1=6e5, P2=after, Q=normal, xT=0.70, FL=0.9
    )
    assert kv == pytest.approx(0.9, rel=8e-3)


def test_air_chokes() -> None:
    assert air_through(KV, 6e5, 293.15, 1e5) == pytest.approx(air_through(KV, 6e5, 293.15, 1.7e5), rel=1e-3)
    assert air_through(KV, 6e5, 293.15, 2.5e5) < air_through(KV, 6e5, 293.15, 1.7e5)


def test_friction_factor_against_the_colebrook_solution() -> None:
    """Clamond's solution of Colebrook in `fluids`: 0.0296 at Re 5e4 and e/D 0.0036; Haaland within 2 %."""
    assert haaland_1983(5e4, 0.05 / 14) == pytest.approx(0.02971, rel=0.02)
    assert haaland_1983(1e5, 1e-4) == pytest.approx(0.018513866, rel=0.02)


def test_heads_of_a_path_by_hand() -> None:
    """14 mm x 18 m, 0.05 mm rough, ten elbows: 0.0296 x 18/0.014 + 10 x 30 x 0.0275 (Crane 410) = 46.3."""
    path = plants.circuit_type(bore=0.014, length=18.0, roughness=5e-5, bends=10).path
    assert pipe_heads(path) == pytest.approx(46.3, rel=0.01)


def test_discharge_of_liquid_is_bernoulli(choke: np.ndarray) -> None:
    flux, _ = mass_flux(5e5, 1e5, 960.0, 0.0, 10.0, choke)
    assert flux == pytest.approx(math.sqrt(2 * 960 * 4e5 / 10), rel=1e-3)


def test_discharge_of_gas_is_the_isothermal_pipe(choke: np.ndarray) -> None:
    """`fluids.isothermal_gas` with the inlet's density: G^2 = rho_1 (P1^2 - P2^2) / (P1 (f L/d + 2
    ln(P1/P2))).
    """
    d, length, friction, p1, p2, rho = 0.012, 18.0, 0.025, 4e5, 2e5, 4.0
    library = isothermal_gas(rho=rho, fd=friction, P1=p1, P2=p2, L=length, D=d) / (math.pi * d * d / 4)
    flux, eta = mass_flux(p1, p2, rho, 1.0, friction * length / d, choke)
    assert eta == p2 / p1
    assert flux == pytest.approx(library, rel=1e-3)


def test_choking_is_the_greatest_flux(choke: np.ndarray) -> None:
    for w, k in ((0.5, 2.0), (1.0, 10.0), (8.0, 3.0), (60.0, 40.0)):
        best = minimize_scalar(
            lambda eta, w=w, k=k: -mass_flux(1e6, eta * 1e6, 100.0, w, k, choke)[0],
            bounds=(0.01, 0.99),
            method="bounded",
        )
        here = mass_flux(1e6, choked_ratio(choke, w, k) * 1e6, 100.0, w, k, choke)[0]
        assert here == pytest.approx(-best.fun, rel=2e-3)


@pytest.mark.parametrize("bar", [2.0, 5.0, 10.0])
def test_choked_flashing_water_against_the_equilibrium_maximum(bar: float, choke: np.ndarray) -> None:
    """Isentropic homogeneous equilibrium from IAPWS-95: ours is 5 .. 20 % lower, having one velocity head to
    lose.
    """
    p0 = bar * 1e5
    s0, h0 = PropsSI("S", "P", p0, "Q", 0, "Water"), PropsSI("H", "P", p0, "Q", 0, "Water")

    def ideal(p: float) -> float:
        rho = PropsSI("D", "P", p, "S", s0, "Water")
        return -rho * math.sqrt(max(2 * (h0 - PropsSI("H", "P", p, "S", s0, "Water")), 0.0))

    best = -minimize_scalar(ideal, bounds=(0.4 * p0, 0.999 * p0), method="bounded").fun
    s = saturated(p0)
    flux, _ = mass_flux(p0, 1e4, s.rho_l, leung_1986(s), 1.0, choke)
    assert 0.8 < flux / best < 0.95


def test_full_water_flow_through_valve_pipe_and_outlet_by_hand() -> None:
    """Cold plant, steady: the series of Kv 4, 37 velocity heads and Kv 6 from 5 to 1.013 bar."""
    run = Run(plants.platen(start=290.0)).go(120, "main")
    w = run.see("upper.water_flow")
    area, geo = plants.bore_area(plants.platen()), run.grid.constants.circuit[0]
    heads = geo[f.K_PIPE] + geo[f.K_EXIT] + 200 * (area / (6 * KV)) ** 2
    by_hand = math.sqrt((5e5 - ATMOSPHERE) / (1e5 / (1000 * 4 * KV) ** 2 + heads / (2 * WATER * area**2)))
    assert w == pytest.approx(by_hand, rel=5e-3)
    assert run.see("upper.pressure") == pytest.approx(5e5 - 1e5 * (w / (1000 * 4 * KV)) ** 2, rel=2e-3)


def test_relief_valve_holds_the_pressure() -> None:
    """Air of 6 bar into a nearly shut outlet: the relief opens at 3 bar abs and holds within its lift."""
    relief = Relief(3e5, 4 * KV)
    held = Run(plants.platen(start=300.0, outlet=0.02, relief=relief)).go(60, "air")
    free = Run(plants.platen(start=300.0, outlet=0.02)).go(60, "air")
    assert free.see("upper.pressure") > 5.5e5
    assert 3e5 < held.see("upper.pressure") < 3e5 + 0.2e5
