"""Bodies, gas and ambient against closed solutions and against the matrix exponential."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.optimize import brentq
from scipy.special import j0, j1

from steadfall.constants import R_NITROGEN
from steadfall.plan.model import Circuit, GasStream, Inner, Link
from steadfall.plant import fields as f
from tests.plant import plants
from tests.plant.running import Run


def test_a_lump_cools_by_the_exponential() -> None:
    """Holman 9th ed., example 4-1: steel ball of 50 mm, h 10, from 450 to 150 degC in air of 100 degC in 5819
    s.
    """
    mass, area = 7800 * math.pi * 0.05**3 / 6, math.pi * 0.05**2
    ball = plants.body("ball", mass, 723.15, 460.0)
    run = Run(
        plants.make(bodies={"ball": ball}, links=(Link(("ball", "ambient"), 10 * area),), ambient=373.15),
        dt=1.0,
    )
    run.go(5819)
    assert run.see("ball") == pytest.approx(423.15, abs=0.1)
    assert run.closes()


def test_dry_plant_against_the_matrix_exponential() -> None:
    """Two hosts, the walls of two circuits, an hour: every node within 5 mK (the trapped air is not in the
    matrix).
    """
    plan = plants.make(
        bodies={"one": plants.body("one", 300.0, 463.15), "two": plants.body("two", 90.0, 353.15)},
        links=(Link(("one", "two"), 120.0), Link(("two", "ambient"), 30.0)),
        circuit_types={"kind": plants.circuit_type(valves=(), host=3000.0)},
        circuits={"a": Circuit("a", "kind", "one"), "b": Circuit("b", "kind", "two")},
    )
    run = Run(plan, cells=10)
    constants = run.grid.constants
    n = 2 + 2 * 10 * f.SHELLS
    conduct, capacity, start = np.zeros((n + 1, n + 1)), np.ones(n), np.zeros(n)
    capacity[:2], start[:2] = constants.capacity, constants.start
    conduct[:2, :2], conduct[0, n], conduct[1, n] = (
        constants.links[:2, :2],
        constants.links[0, 2],
        constants.links[1, 2],
    )
    for c in range(2):
        for i in range(10):
            first = 2 + (c * 10 + i) * f.SHELLS
            capacity[first : first + f.SHELLS] = constants.shell_capacity[c]
            start[first : first + f.SHELLS] = constants.start[c]
            for k in range(f.SHELLS - 1):
                conduct[first + k, first + k + 1] = constants.shell_link[c, k]
            conduct[first + f.SHELLS - 1, constants.host[c]] = constants.circuit[c, f.G_HOST]
    conduct = np.maximum(conduct, conduct.T)
    matrix = (conduct[:n, :n] - np.diag(conduct[:n].sum(axis=1))) / capacity[:, None]
    exact = constants.ambient + expm(matrix * 3600) @ (start - constants.ambient)
    run.go(3600)
    got = np.concatenate([run.state.nodes, run.state.cells[:, :, f.W0 :].ravel()])
    np.testing.assert_allclose(got, exact, atol=5e-3)
    assert run.closes()


def _series(shape: str, fourier: float, biot: float) -> tuple[float, float]:
    """Surface and centre of a suddenly cooled body, first 40 terms (Incropera 6e, section 5.5 and 5.6)."""
    eigen: Callable[[float], float] = {
        "slab": lambda z: z * math.tan(z) - biot,
        "cylinder": lambda z: z * j1(z) - biot * j0(z),
        "sphere": lambda z: 1 - z / math.tan(z) - biot,
    }[shape]
    surface = centre = 0.0
    grid = np.linspace(1e-6, 120.0, 60001)
    values = np.array([eigen(z) for z in grid])
    for low, high, a, b in zip(grid[:-1], grid[1:], values[:-1], values[1:], strict=True):
        if a < 0 < b or (shape == "cylinder" and a * b < 0):
            if abs(a) > 50 or abs(b) > 50:
                continue
            z = brentq(eigen, low, high)
            decay = math.exp(-z * z * fourier)
            if shape == "slab":
                factor = 4 * math.sin(z) / (2 * z + math.sin(2 * z))
                surface, centre = surface + factor * math.cos(z) * decay, centre + factor * decay
            elif shape == "cylinder":
                factor = 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)
                surface, centre = surface + factor * j0(z) * decay, centre + factor * decay
            else:
                factor = 4 * (math.sin(z) - z * math.cos(z)) / (2 * z - math.sin(2 * z))
                surface, centre = surface + factor * math.sin(z) / z * decay, centre + factor * decay
    return surface, centre


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
def test_shells_approach_the_series_solution(shape: str) -> None:
    """Surface and core of a body of 24 mm cooled at Biot 2: within 1 % of the step for 16 shells, worse for
    4.
    """
    k, size, rho, cp = 0.25, 0.012, 1150.0, 1900.0
    power = {"slab": 0, "cylinder": 1, "sphere": 2}[shape]
    area = (power + 1) * 45.0 / rho / size
    biot, seconds = 2.0, 300.0
    exact = _series(shape, k / (rho * cp) * seconds / size**2, biot)
    errors = []
    for shells in (4, 16):
        inner = Inner(shape, size, k, shells, rho)
        plan = plants.make(
            bodies={"load": plants.body("load", 45.0, 393.15, cp, inner=inner)},
            links=(Link(("load", "ambient"), biot * k / size * area),),
        )
        run = Run(plan, dt=0.1).go(seconds)
        got = [(run.see(f"load.{where}") - 293.15) / 100.0 for where in ("surface", "core")]
        errors.append(max(abs(a - b) for a, b in zip(got, exact, strict=True)))
        assert run.closes()
    assert errors[1] < 0.01
    assert errors[1] < errors[0] < 0.05


def test_gas_meets_its_load_by_effectiveness() -> None:
    """Two heavy bodies side by side in one gas: what goes over is UA1 UA2/(UA1 + UA2) (T1 - T2), whatever the
    fan.
    """
    plan = plants.make(
        bodies={"hot": plants.body("hot", 1e9, 473.15), "cold": plants.body("cold", 1e9, 373.15)},
        gas_streams={"gas": GasStream("gas", "air", 2e5, 1.0, 0.5, 423.15)},
        links=(Link(("gas", "hot"), 300.0), Link(("gas", "cold"), 150.0)),
    )
    run = Run(plan, dt=1.0).go(2000)
    before = run.state.nodes.copy()
    run.go(1000)
    rate = (before[0] - run.state.nodes[0]) * run.grid.constants.capacity[0] / 1000
    assert rate == pytest.approx(300 * 150 / 450 * 100, rel=1e-3)


def test_a_coil_cannot_take_more_than_the_gas_brings() -> None:
    """A coil of huge conductance cools the gas to the wall's temperature: 100 % effectiveness, no more."""
    plan = plants.oven(host=1e6)
    run = Run(plan).go(60, "main")
    wall, gas, after = run.see("coil.wall"), run.see("gas"), run.see("gas.after_coil")
    assert wall - 1.0 < after < wall + 15.0
    flow = run.state.stream_capacity[0]
    assert run.own(f.HOST_HEAT) == pytest.approx(flow * (gas - after), rel=0.02)


def test_gas_of_higher_pressure_carries_more() -> None:
    """The fan moves volume: at 4 bar the same fan carries four times the heat per kelvin."""
    one, four = (
        Run(plants.make(gas_streams={"gas": GasStream("gas", "nitrogen", p, 2.0, 1.0, 400.0)})).go(0.02)
        for p in (1e5, 4e5)
    )
    assert four.state.stream_capacity[0] == pytest.approx(4 * one.state.stream_capacity[0])
    assert one.state.stream_capacity[0] == pytest.approx(1e5 / (R_NITROGEN * 400.0) * 1042.0, rel=1e-6)


def test_a_tiny_host_does_not_upset_the_step() -> None:
    """A host of 1 kg under a circuit of 20 kW/K at 20 ms steps stays stable, where an explicit step would
    explode.
    """
    run = Run(plants.platen(mass=1.0, host=20e3)).go(400, "main")
    assert 287 < run.see("platen") < 320
    assert run.closes()
