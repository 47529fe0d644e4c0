"""Surfaces, leaks and heating against closed solutions, an independent library and an independent
integration.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import scipy.constants
from CoolProp.CoolProp import PropsSI
from ht import Nu_horizontal_plate_McAdams, Nu_vertical_plate_Churchill
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from steadfall.constants import ATMOSPHERE, R_AIR, G
from steadfall.plan.model import GasStream, Heating, Inner, Insulation, Link, Shell
from steadfall.plant import fields as f
from steadfall.plant.grid.host import hosts
from steadfall.plant.kernel.losses import free_convection, loss_of, surface_flux
from steadfall.plant.kernel.wall import film_at
from tests.plant import plants
from tests.plant.running import Run

AMBIENT = 293.15
SIGMA = scipy.constants.Stefan_Boltzmann
FACES = {"upright": f.UPRIGHT, "up": f.UP, "down": f.DOWN}


def by_library(face: str, length: float, surface: float) -> float:
    """W/m2/K with the Nusselt numbers of an independent library and the air of another."""
    t = (surface + AMBIENT) / 2
    rho, mu, k, cp = (PropsSI(what, "T", t, "P", ATMOSPHERE, "Air") for what in ("D", "V", "L", "C"))
    grashof, prandtl = G / t * abs(surface - AMBIENT) * length**3 * (rho / mu) ** 2, cp * mu / k
    if face == "upright":
        nusselt = Nu_vertical_plate_Churchill(prandtl, grashof)
    else:
        nusselt = Nu_horizontal_plate_McAdams(
            prandtl, grashof, buoyancy=(face == "up") == (surface > AMBIENT)
        )
    return float(nusselt * k / length)


@pytest.mark.parametrize("face", ["upright", "up", "down"])
@pytest.mark.parametrize("surface", [263.15, 313.15, 373.15, 473.15])
@pytest.mark.parametrize("length", [0.1, 0.3, 0.8])
def test_free_convection_is_that_of_the_library(face: str, surface: float, length: float) -> None:
    """Within 3 %, by which Sutherland's air differs; between Ra 5e6 and 1e7 facing up the greater branch is
    taken.
    """
    got = free_convection(length, float(FACES[face]), surface, AMBIENT)
    assert got == pytest.approx(by_library(face, length, surface), rel=0.03 if face != "up" else 0.08)


def test_vertical_plate_of_a_textbook() -> None:
    """Incropera 6e, example 9.2: fire screen 0.71 m high at 232 degC in air of 23 degC: h 7.0 W/m2/K."""
    assert free_convection(0.71, float(f.UPRIGHT), 505.15, 296.15) == pytest.approx(7.0, rel=0.02)


def row(area: float = 2.0, emissivity: float = 0.8, cover: float = 0.0, leak: float = 0.0) -> np.ndarray:
    return np.array([area, 1.0, float(f.UPRIGHT), emissivity, cover, leak])


def test_radiation_is_that_of_a_grey_surface() -> None:
    black, white = (surface_flux(row(emissivity=e), 400.0, AMBIENT) for e in (1.0, 0.0))
    assert black - white == pytest.approx(SIGMA * (400.0**4 - AMBIENT**4), rel=1e-9)


@pytest.mark.parametrize("t", [250.0, 293.2, 350.0, 500.0])
def test_insulation_passes_what_the_surface_loses(t: float) -> None:
    """The surface from an independent root, and the slope from two neighbours."""
    insulated = row(cover=1.2)
    surface = brentq(lambda s: (t - s) / 1.2 - surface_flux(insulated, s, AMBIENT), 200.0, 600.0, xtol=1e-12)
    heat, slope = loss_of(insulated, t, AMBIENT)
    assert heat == pytest.approx(2.0 * (t - surface) / 1.2, rel=1e-6)
    low, high = (loss_of(insulated, t + d, AMBIENT)[0] for d in (-0.05, 0.05))
    assert slope == pytest.approx((high - low) / 0.1, rel=1e-3)


def bare(**more: object) -> Shell:
    return Shell(**{"area": 2.0, "length": 1.0, "face": "upright", "emissivity": 0.8, **more})  # type: ignore[arg-type]


def flux_by_hand(t: float) -> float:
    return float(2.0 * (by_hand(t) * (t - AMBIENT) + 0.8 * SIGMA * (t**4 - AMBIENT**4)))


def by_hand(surface: float) -> float:
    """Churchill and Chu written again."""
    t = (surface + AMBIENT) / 2
    mu = 1.716e-5 * (t / 273) ** 1.5 * (273 + 111) / (t + 111)
    k = 0.0241 * (t / 273) ** 1.5 * (273 + 194) / (t + 194)
    pr, rho = 1007 * mu / k, ATMOSPHERE / (R_AIR * t)
    ra = G / t * abs(surface - AMBIENT) * (rho / mu) ** 2 * pr
    return float((0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2 * k)


def cooled(dt: float, seconds: float = 3600.0) -> float:
    block = plants.body("block", 20.0, 473.15, shell=bare())
    run = Run(plants.make(bodies={"block": block}), dt=dt).go(seconds)
    assert run.closes(1e-9)
    return run.see("block")


def test_a_block_cools_as_by_an_independent_integration() -> None:
    """20 kg from 200 degC, an hour: within 5 mK at 20 ms; the error falls in first order with the step."""
    exact = solve_ivp(
        lambda _, y: [-flux_by_hand(y[0]) / (20 * 480)], (0, 3600), [473.15], rtol=1e-10, atol=1e-10
    ).y[0, -1]
    assert cooled(0.02) == pytest.approx(exact, abs=5e-3)
    errors = [cooled(dt) - exact for dt in (40.0, 20.0, 10.0)]
    assert errors[0] / errors[1] == pytest.approx(2.0, abs=0.25)
    assert errors[1] / errors[2] == pytest.approx(2.0, abs=0.25)


def test_a_heated_block_settles_where_it_loses_what_it_gets() -> None:
    """1 kW into 2 m2: steady to 5 mK, from above and from below."""
    steady = brentq(lambda t: flux_by_hand(t) - 1000.0, 300.0, 500.0)
    for start in (300.0, 470.0):
        block = plants.body("block", 5.0, start, shell=bare(), heating=Heating(1000.0))
        run = Run(plants.make(bodies={"block": block}), dt=1.0).go(20_000)
        assert run.see("block") == pytest.approx(steady, abs=5e-3)
        assert run.closes(1e-9)


@pytest.mark.parametrize(
    ("heating", "energy"),
    [
        (Heating(500.0), lambda t: 500 * t),
        (Heating(500.0, until=100.013), lambda t: 500 * min(t, 100.013)),
        (Heating(500.0, time_constant=60.0), lambda t: 500 * 60 * (1 - math.exp(-t / 60))),
        (Heating(500.0, 50.0, 60.0), lambda t: 500 * 60 * (1 - math.exp(-min(t, 50.0) / 60))),
    ],
)
def test_heating_gives_its_energy_exactly(heating: Heating, energy: Callable[[float], float]) -> None:
    """A body that loses nothing rises by E/C, whatever the step."""
    for dt in (0.02, 7.0):
        run = Run(plants.make(bodies={"lump": plants.body("lump", 10.0, 300.0, heating=heating)}), dt=dt).go(
            140.0
        )
        assert run.see("lump") - 300.0 == pytest.approx(energy(140.0) / 4800.0, rel=1e-9)
        assert run.books().heat_from_heating == pytest.approx(energy(140.0), rel=1e-9)
        assert run.closes(1e-9)


@pytest.mark.parametrize(("shape", "divisor"), [("slab", 2), ("cylinder", 4), ("sphere", 6)])
def test_a_heated_body_is_hotter_inside(shape: str, divisor: int) -> None:
    """Even heating q: core less surface = q L^2/(2k), q R^2/(4k), q R^2/(6k) (Incropera 6e, 3.43, C.22,
    C.25).
    """
    size, k, rho, mass, power = 0.02, 0.5, 1000.0, 12.0, 300.0
    load = plants.body("load", mass, 320.0, inner=Inner(shape, size, k, 20, rho), heating=Heating(power))
    run = Run(plants.make(bodies={"load": load}, links=(Link(("load", "ambient"), 50.0),)), dt=5.0).go(40_000)
    assert run.see("load.surface") == pytest.approx(AMBIENT + power / 50.0, abs=1e-6)
    assert run.see("load.difference") == pytest.approx(
        power / (mass / rho) * size**2 / (divisor * k), rel=0.01
    )
    assert run.see("load.difference") == pytest.approx(
        run.see("load.core") - run.see("load.surface"), abs=1e-9
    )


def test_only_a_body_with_an_inside_has_a_difference() -> None:
    plan = plants.everything()
    run = Run(plan)
    assert [name for name in run.grid.observed if name.endswith("difference")] == ["load.difference"]
    run.go(60, "main")
    assert run.see("platen.core") == run.see("platen")
    assert (
        run.see("gas") == run.state.nodes[run.grid.constants.stream_node[0]]
    )  # the places behind it are not shifted


def test_a_leak_carries_its_flow_of_heat() -> None:
    """Gas heated by 2 kW: p V'/(R T) c_p (T - Ta) = P, steady."""
    stream = GasStream("gas", "nitrogen", 3e5, 2.0, 1.0, 350.0, heating=Heating(2000.0), leak=0.01)
    run = Run(plants.make(gas_streams={"gas": stream}), dt=1.0).go(20_000)
    t = run.see("gas")
    assert 3e5 * 0.01 / (296.8 * t) * 1042.0 * (t - AMBIENT) == pytest.approx(2000.0, rel=1e-4)
    assert run.closes(1e-9)


def test_a_casing_loses_through_film_and_insulation() -> None:
    """Steady gas: what the heater gives passes film, insulation and surface in series."""
    shell = bare(area=10.0, insulation=Insulation(0.05, 0.05), inside=12.0)
    stream = GasStream("gas", "air", ATMOSPHERE, 2.0, 1.0, 400.0, heating=Heating(800.0), shell=shell)
    run = Run(plants.make(gas_streams={"gas": stream}), dt=1.0).go(20_000)
    surface = run.see("gas") - 80.0 * (1.0 + 1 / 12)
    lost = by_hand(surface) * (surface - AMBIENT) + 0.8 * SIGMA * (surface**4 - AMBIENT**4)
    assert lost == pytest.approx(80.0, rel=1e-3)


def test_a_coil_in_gas_follows_the_gas() -> None:
    """The table is within 0.1 % of the correlation between its points; colder gas of a fan cools a little
    better.
    """
    plan = plants.everything()
    found = hosts(plan)
    table = np.array(found.films["coil"])
    at = np.arange(f.FILM_POINTS) * f.FILM_STEP + f.FILM_LOW
    assert film_at(table, 493.15) == pytest.approx(found.conductance["coil"], rel=1e-3)
    assert film_at(table, float(at[7])) == pytest.approx(table[7], rel=1e-9)
    assert film_at(table, 1.0) == table[0]
    assert 1.0 < film_at(table, 330.0) / film_at(table, 493.15) < 1.2
    assert found.films["upper"] == [found.conductance["upper"]] * f.FILM_POINTS


def test_the_books_close_with_everything_at_once() -> None:
    run = Run(plants.everything())
    for _ in range(30):
        run.go(2, "small", "air").go(10, "air").go(8, "main", "small").go(4, "drain")
    assert run.closes(1e-9)
    assert np.isfinite(run.state.nodes).all()
    assert run.state.cells[:, :, [f.ML, f.MA, f.MV]].min() >= 0.0


def test_heating_that_wins_is_flagged() -> None:
    """40 kW into 20 kg with a shut circuit: far above 400 degC, and said."""
    base = plants.platen(mass=20.0)
    plan = plants.make(
        supplies=base.supplies,
        bodies={"platen": plants.body("platen", 20.0, 463.15, heating=Heating(40e3), shell=bare())},
        circuit_types=base.circuit_types,
        circuits=base.circuits,
    )
    run = Run(plan).go(1500, "air")
    assert run.see("platen") > 673.15
    assert run.state.flags[0] & f.WALL_HOT
    assert run.closes(1e-9)
