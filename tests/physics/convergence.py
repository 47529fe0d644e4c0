"""Order of convergence, and an integrator of another kind on the smooth phases.

The reference is scipy's Radau (implicit Runge-Kutta of fifth order) at a relative tolerance of 1e-9 on the
differential equations as a person would write them down, with the water's properties from IAPWS-95 and not
from our tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np
from CoolProp.CoolProp import PropsSI
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Circuit, Inner, Link, Plan, Supply
from steadfall.plant import fields as f
from steadfall.plant.grid.bodies import GAS
from steadfall.plant.law import properties as p
from tests.physics.check import Behaviour, Group, Row, falling
from tests.physics.conduction import SERIES, SIZE, UNIT
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run

Reals = NDArray[np.float64]
MOMENTS = (30.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0)  # s after the water has filled the circuit
FINE = 1.0 / 64


def orders(errors: list[float]) -> tuple[float, ...]:
    """Observed orders of convergence from errors at halved steps."""
    return tuple(math.log2(coarse / fine) for coarse, fine in pairwise(errors))


def in_step() -> Iterator[Row]:
    """A platen at 80 degC that a stream cools, a minute after it has settled; filled alike."""
    steps = (0.5, 0.25, 0.125, 0.0625)

    def ends(step: float) -> tuple[float, float]:
        run = Run(plants.platen(80 + K0, host=2900.0), 10, FINE).go(60, "main")
        run.dt = step
        run.go(60, "main")
        return run.see("platen"), run.see("upper.outlet_temperature")

    exact = [2 * fine - coarse for fine, coarse in zip(ends(FINE), ends(2 * FINE), strict=True)]
    errors = np.abs(np.array([ends(step) for step in steps]) - exact)
    for i, what in enumerate(("platen", "water at the outlet")):
        found = orders([float(e) for e in errors[:, i]])
        said = "first order: error halved with the step of 0.5, 0.25, 0.125, 0.0625 s"
        yield Behaviour(
            f"order of convergence in the step, {what}",
            "backward Euler",
            said,
            found,
            all(abs(o - 1) < 0.3 for o in found),
        )
        yield Behaviour(
            f"error at those steps, {what}",
            "extrapolated to no step",
            "halved each time, the last below 0.05 K",
            tuple(float(e) for e in errors[:, i]),
            errors[-1, i] < 0.05 and falling(float(e) for e in errors[:, i]),
            "K",
        )


def in_cells() -> Iterator[Row]:
    """Duty of a stream past a heavy host, 10 .. 80 cells, against the limit by Richardson."""

    def duty(cells: int) -> float:
        return Run(plants.platen(80 + K0, mass=1e6), cells, 0.1).go(120, "main").see("upper.heat")

    found = [duty(cells) for cells in (10, 20, 40, 80, 160)]
    limit = 2 * found[-1] - found[-2]
    errors = [limit - value for value in found[:-1]]
    said = "first order; too little cooling, the safe side"
    rates = orders(errors)
    yield Behaviour(
        "order of convergence in cells, 10 to 80",
        "stirred cells in a row",
        said,
        rates,
        all(abs(o - 1) < 0.25 for o in rates) and min(errors) > 0,
    )
    yield Behaviour(
        "duty of 10, 20, 40, 80 cells below its limit",
        "the same",
        "falls",
        tuple(100 * e / limit for e in errors),
        errors[0] < 0.06 * limit,
        "%",
    )


def in_shells() -> Iterator[Row]:
    """Core and surface of a plane wall at Biot 1, Fourier 0.2."""
    errors = []
    exact = SERIES[0.2]
    for count in (5, 10, 20):
        inner = Inner("slab", SIZE, UNIT[0], count, UNIT[1])
        area = 10.0 / UNIT[1] / SIZE
        body = plants.body("load", 10.0, 1 + K0, UNIT[2], inner=inner)
        links = (Link(("load", "ambient"), UNIT[0] / SIZE * area),)
        run = Run(plants.make(bodies={"load": body}, links=links, ambient=K0), dt=0.001).go(20.0)
        errors.append(
            max(abs(run.see("load.core") - K0 - exact[0]), abs(run.see("load.surface") - K0 - exact[1]))
        )
    rates = orders(errors)
    yield Behaviour(
        "error of core or surface with 5, 10, 20 shells",
        "full series, 200 terms, Biot 1, Fourier 0.2",
        "a quarter each time",
        tuple(errors),
        falling(errors),
        "of the fall",
    )
    yield Behaviour(
        "order of convergence in shells, 5 to 20",
        "finite volumes",
        "second order",
        rates,
        all(o > 1.6 for o in rates),
    )


def stream() -> Plan:
    """A platen with a load on it, cooled by a stream."""
    kind = plants.circuit_type(host=2900.0, valves=(plants.valve("main", "water", 0.4),))
    return plants.make(
        supplies={"water": Supply("water", "water", 5e5, 288.15)},
        bodies={
            "platen": plants.body("platen", 800.0, 85 + K0),
            "load": plants.body("load", 45.0, 80 + K0, 1900.0),
        },
        links=(Link(("platen", "load"), 850.0), Link(("platen", "ambient"), 14.0)),
        circuit_types={"kind": kind},
        circuits={"upper": Circuit("upper", "kind", "platen")},
    )


def film(flow: float, area: float, bore: float) -> Callable[[Reals], Reals]:
    """Dittus-Boelter or laminar of water at 60 bar over temperature (IAPWS-95)."""
    grid = np.linspace(280.0, 370.0, 46)
    values = []
    for t in grid:
        mu, k, cp = (PropsSI(what, "T", t, "P", 6e6, "Water") for what in ("V", "L", "C"))
        re, pr = flow / area * bore / mu, cp * mu / k
        values.append(max(3.66, 0.023 * re**0.8 * pr**0.4) * k / bore)
    spline = CubicSpline(grid, values)
    return lambda t: np.asarray(spline(t))


def stream_slope(run: Run, flow: float) -> Callable[[float, Reals], Reals]:
    """Water, shells, platen and load as differential equations."""
    constants, n = run.grid.constants, run.grid.cells
    geo, links = constants.circuit[0], constants.shell_link[0]
    h = film(flow, geo[f.AREA], geo[f.BORE])
    grid = np.linspace(280.0, 370.0, 46)
    density = CubicSpline(grid, [PropsSI("D", "T", t, "P", 3e5, "Water") for t in grid])

    def slope(_: float, y: Reals) -> Reals:
        water, wall, (platen, load) = y[:n], y[n:-2].reshape(n, f.SHELLS), y[-2:]
        taken = (wall[:, 0] - water) / (1 / (h(water) * geo[f.CELL_WALL]) + geo[f.R_SKIN])
        before = np.concatenate([[288.15], water[:-1]])
        between = links * (wall[:, :-1] - wall[:, 1:])
        host = geo[f.G_HOST] * (platen - wall[:, -1])
        gain = np.zeros_like(wall)
        gain[:, 0] -= taken
        gain[:, :-1] -= between
        gain[:, 1:] += between
        gain[:, -1] += host
        to_load = 850.0 * (platen - load)
        return np.concatenate(
            [
                (flow * p.C_L * (before - water) + taken) / (density(water) * geo[f.CELL_VOLUME] * p.C_L),
                (gain / constants.shell_capacity[0]).ravel(),
                [(-host.sum() - to_load - 14.0 * (platen - constants.ambient)) / constants.capacity[0]],
                [to_load / constants.capacity[1]],
            ]
        )

    return slope


def against_radau() -> Iterator[Row]:
    run = Run(stream(), cells=20, dt=0.02, even=True).go(120, "main")
    cells, flow = run.state.cells[0], run.see("upper.water_flow")
    start = np.concatenate([cells[:, f.TL], cells[:, f.W0 :].ravel(), run.state.nodes])
    solved = solve_ivp(
        stream_slope(run, flow), (0, MOMENTS[-1]), start, "Radau", MOMENTS, rtol=1e-9, atol=1e-8
    )
    n, worst, past = run.grid.cells, np.zeros(3), 0.0
    for k, moment in enumerate(MOMENTS):
        run.go(moment - past, "main")
        past = moment
        got = np.concatenate([cells[:, f.TL], cells[:, f.W0 :].ravel(), run.state.nodes])
        off = np.abs(got - solved.y[:, k])
        worst = np.maximum(worst, [off[:n].max(), off[n:-2].max(), off[-2:].max()])
    parts = ("the water of every cell", "every shell of the wall", "the bodies")
    for what, off in zip(parts, worst, strict=True):
        said = "within 0.2 K over an hour"
        yield Behaviour(f"full stream, {what}", "Radau, rtol 1e-9", said, (float(off),), bool(off < 0.2), "K")


def oven() -> Iterator[Row]:
    """A load with a core in a gas stream and a heavy wall to lose heat to: no water, an hour."""
    inner = Inner("slab", 0.03, 0.4, 8, 1500.0)
    base = plants.oven(220 + K0, 300.0)
    load = plants.body("load", 300.0, 220 + K0, 1200.0, inner=inner)
    links = (Link(("gas", "load"), 400.0), Link(("gas", "ambient"), 60.0))
    run = Run(plants.make(bodies={"load": load}, gas_streams=base.gas_streams, links=links), dt=0.02)
    constants = run.grid.constants
    shells = constants.links[:8, :8].copy()
    skin = constants.links[0, 8]
    specific, heat = GAS["air"]
    fan = ATMOSPHERE * 2.2 * heat / specific
    gas_capacity = float(constants.capacity[-1])

    def slope(_: float, y: Reals) -> Reals:
        body, gas = y[:8], y[8]
        flow = fan / gas
        effect = flow * (1 - math.exp(-460.0 / flow))

        def away(surface: float) -> tuple[float, float]:
            mean = (400.0 * surface + 60.0 * constants.ambient) / 460.0
            return 400.0 * (surface - mean) + 400.0 / 460.0 * effect * (mean - gas), effect * (mean - gas)

        low, high = away(0.0)[0], away(1.0)[0]
        surface = (skin * body[0] - low) / (skin + high - low)
        change = shells @ body - shells.sum(axis=1) * body
        change[0] -= skin * (body[0] - surface)
        return np.append(change / constants.capacity[:8], away(surface)[1] / gas_capacity)

    start = np.full(9, 220 + K0)
    solved = solve_ivp(slope, (0, 3600.0), start, "Radau", (600.0, 1800.0, 3600.0), rtol=1e-9, atol=1e-8)
    worst = 0.0
    for k, wait in enumerate((600.0, 1200.0, 1800.0)):
        run.go(wait)
        got = np.append(run.state.nodes[:8], run.state.nodes[-1])
        worst = max(worst, float(np.abs(got - solved.y[:, k]).max()))
    said = "within 0.2 K over an hour"
    yield Behaviour(
        "load and gas of an oven without water", "Radau, rtol 1e-9", said, (worst,), worst < 0.2, "K"
    )


def doses() -> Iterator[Row]:
    """Doses on hot metal, where nothing is smooth: what finer steps and cells change after ten minutes."""

    def pulsed(cells: int, dt: float) -> tuple[float, float]:
        run = Run(plants.platen(), cells, dt)
        for _ in range(150):
            run.go(1, "small", "air").go(3, "air")
        return 190 + K0 - run.see("platen"), run.own(f.PEAK) / 1e5

    for said, settings in (
        ("steps of 80, 40, 20, 10 ms at 20 cells", [(20, dt) for dt in (0.08, 0.04, 0.02, 0.01)]),
        ("10, 20, 40 cells at 20 ms", [(cells, 0.02) for cells in (10, 20, 40)]),
    ):
        found = [pulsed(*one) for one in settings]
        platens, peaks = (tuple(values) for values in zip(*found, strict=True))
        source = "common practice: refine until nothing changes"
        near = abs(platens[-1] - platens[-2]) < 1.0
        yield Behaviour(
            f"fall of a platen in ten minutes of doses, {said}",
            source,
            "the last two within 1 K",
            platens,
            near,
            "K",
        )
        near = abs(peaks[-1] / peaks[-2] - 1) < 0.08
        yield Behaviour(
            f"highest pressure of it, {said}", source, "the last two within 8 %", peaks, near, "bar"
        )


def order_rows() -> Iterator[Row]:
    for part in (in_step, in_cells, in_shells, doses):
        yield from part()


def integrator_rows() -> Iterator[Row]:
    for part in (against_radau, oven):
        yield from part()


CONVERGENCE = Group(
    "Order of convergence",
    "Errors fall as the method promises: first order in the step (backward Euler) and in the cells of a "
    "circuit\n"
    "(stirred cells in a row), second order in the shells of a body (finite volumes). Doses are not "
    "smooth; there\n"
    "the figures show what finer steps and cells still change.",
    order_rows,
)
INTEGRATOR = Group(
    "An independent integrator",
    "On smooth phases an implicit Runge-Kutta method of fifth order (scipy, Radau, rtol 1e-9) on the "
    "differential\n"
    "equations as a person would write them, with steam-table properties, gives the same temperatures.",
    integrator_rows,
)
