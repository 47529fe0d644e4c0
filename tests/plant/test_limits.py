"""Limiting cases with a closed or an independent answer."""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.integrate import solve_ivp

from steadfall.constants import ATMOSPHERE, WATER
from steadfall.plant import fields as f
from steadfall.plant.law import properties as p
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run


def _plug_flow_duty(run: Run) -> float:
    """Duty of single-phase plug flow past the same resistances, by an ODE solver: W c dT/dx = U(T) (T_host -
    T).
    """
    constants, geo = run.grid.constants, run.grid.constants.circuit[0]
    cells = run.grid.cells
    host, flow = run.state.nodes[0], run.see("upper.water_flow")
    liquid = p.read_table("liquid").copy()
    solid = geo[f.R_SKIN] + (1 / constants.shell_link[0]).sum() + 1 / geo[f.G_HOST]

    def slope(_: float, t: np.ndarray) -> np.ndarray:
        row = p.row_of_temperature(t[0])
        velocity = flow * p.volume_of_liquid(t[0] - p.T0) / geo[f.AREA]
        turbulent = p.tabulated(liquid, row, p.C_TURBULENT) * velocity**0.8 / geo[f.BORE] ** 0.2
        h = max(turbulent, 3.66 * p.tabulated(liquid, row, p.K_LIQUID) / geo[f.BORE])
        conductance = cells / (1 / (h * geo[f.CELL_WALL]) + solid)
        return np.array([conductance * (host - t[0]) / (flow * p.C_L)])

    out = solve_ivp(slope, (0, 1), [288.15], rtol=1e-9, atol=1e-9).y[0, -1]
    return float(flow * p.C_L * (out - 288.15))


def _steady(cells: int, dt: float = 0.02) -> Run:
    """Full stream through a host so heavy that it stays at 80 degC."""
    return Run(plants.platen(80 + K0, mass=1e6), cells, dt).go(120, "main")


def test_single_phase_duty_converges_to_plug_flow_in_first_order() -> None:
    errors = []
    for cells in (10, 20, 40):
        run = _steady(cells)
        errors.append(1 - run.see("upper.heat") / _plug_flow_duty(run))
        assert run.closes()
    assert 0 < errors[2] < errors[1] < errors[0] < 0.06  # too little cooling: the safe side
    assert errors[0] / errors[1] == pytest.approx(2.0, abs=0.25)
    assert errors[1] / errors[2] == pytest.approx(2.0, abs=0.25)


def test_steady_duty_does_not_depend_on_the_step() -> None:
    coarse, fine = _steady(20, 0.1).see("upper.heat"), _steady(20, 0.005).see("upper.heat")
    assert coarse == pytest.approx(fine, rel=1e-5)


def test_steady_heat_is_what_the_water_carries() -> None:
    run = _steady(20)
    rise = run.see("upper.outlet_temperature") - 288.15
    assert run.see("upper.heat") == pytest.approx(run.see("upper.water_flow") * p.C_L * rise, rel=1e-3)
    assert run.own(f.HOST_HEAT) == pytest.approx(run.see("upper.heat"), rel=1e-3)


@pytest.mark.parametrize("celsius", [150.0, 200.0, 250.0, 350.0])
def test_a_slow_dose_takes_all_that_steam_tables_allow(celsius: float) -> None:
    """8 g in 5 s, all turned to steam as hot as the wall: m (h_v(T_wall, 1 atm) - h_l(15 degC)), IAPWS-95,
    1.5 %.
    """
    kv = 0.0016 / 1000 / math.sqrt(4) * 3600
    valves = (plants.valve("dose", "water", kv),)
    run = Run(plants.platen(celsius + K0, mass=1e5, valves=valves)).go(5, "dose").go(200)
    book = run.books().circuits["upper"]
    assert run.state.cells[0, :, f.ML].sum() < 1e-6  # what is held is steam
    assert book.water_out == pytest.approx(0.0, abs=1e-9)
    enthalpy = PropsSI("H", "T", celsius + K0, "P", ATMOSPHERE, "Water") - PropsSI(
        "H", "T", 288.15, "P", 5e5, "Water"
    )
    taken = book.heat_to_liquid + book.heat_to_gas
    assert taken == pytest.approx(book.water_in * enthalpy, rel=0.015)
    assert book.water_in == pytest.approx(8e-3, rel=0.02)
    assert run.closes()


def test_trapped_air_follows_the_gas_law() -> None:
    """Heated from 20 to 200 degC behind a shut outlet: 1.01325 bar x 473.15/293.15 = 163 540 Pa."""
    run = Run(plants.platen(293.15, mass=1e6, outlet=1e-9))
    run.state.nodes[0] = 473.15
    run.state.cells[:, :, f.W0 :] = 473.15
    run.go(300)
    assert run.see("upper.pressure") == pytest.approx(163_540, rel=1e-4)


def test_air_alone_through_the_pipe_settles_to_the_isothermal_formula() -> None:
    """Steady air at the host's temperature: the outlet law holds between inlet and outlet, and mass is
    conserved.
    """
    run = Run(plants.platen(293.15, mass=1e6)).go(60, "air")
    geo = run.grid.constants.circuit[0]
    inlet, flow = run.see("upper.pressure"), run.see("upper.air_flow")
    k = geo[f.K_PIPE] + geo[f.K_EXIT] + 200 * (geo[f.AREA] / geo[f.OUT_KV]) ** 2
    rho = inlet / (p.R_A * 293.15)
    ratio = inlet / ATMOSPHERE
    by_hand = geo[f.AREA] * math.sqrt(rho * inlet * (1 - ratio**-2) / (k + 2 * math.log(ratio)))
    assert flow == pytest.approx(by_hand, rel=0.01)


def test_a_blown_out_circuit_is_nearly_empty() -> None:
    run = Run(plants.platen(293.15)).go(20, "main")
    full = run.see("upper.water_held")
    assert full == pytest.approx(WATER * plants.bore_area(plants.platen()) * 18, rel=1e-3)
    run.go(120, "air")
    assert run.see("upper.water_held") < 0.12 * full
