"""The kernel against scipy's stiff solvers on the same equations over a smooth phase: `python -m
benchmarks.stiff`.

A full stream of water through a platen below boiling, cells full, flow steady: then the plant is a system of
ordinary differential equations for host, wall shells and water, which both integrate over an hour from the
same state with the same coefficients. scipy is told the sparsity of the Jacobian. Left alone it takes steps
of a minute and wins by far; under a controller that may move a valve in any scan it must stop at every scan,
which is timed too. CPU seconds and the difference at the end are printed.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix
from tests.plant import plants
from tests.plant.running import Run

from benchmarks.table import Row, show
from steadfall.plant import fields as f
from steadfall.plant.law import properties as p

HOUR = 3600.0
SCANNED = 2.0  # s, enough to time what every scan costs
TIGHT = 1e-6
Reals = NDArray[np.float64]


def equations(run: Run) -> tuple[Callable[[float, Reals], Reals], Reals, lil_matrix]:
    """Right-hand side, start and Jacobian sparsity of host, shells and water of a circuit that is full."""
    constants, state = run.grid.constants, run.state
    geo, n = constants.circuit[0], run.grid.cells
    flow = run.see("upper.water_flow")
    liquid = p.read_table("liquid")
    grid_t = p.T_LOW + p.T_STEP * np.arange(p.T_POINTS)
    mass, ambient_link = state.cells[0, :, f.ML], constants.links[0, 1]
    link, shells = constants.shell_link[0], constants.shell_capacity[0]

    def slope(_: float, y: Reals) -> Reals:
        host, wall, water = y[0], y[1 : 1 + n * f.SHELLS].reshape(n, f.SHELLS), y[1 + n * f.SHELLS :]
        volume = np.array([p.volume_of_liquid(t - p.T0) for t in water])
        velocity = flow * volume / geo[f.AREA]
        turbulent = np.interp(water, grid_t, liquid[:, p.C_TURBULENT]) * velocity**0.8 / geo[f.BORE] ** 0.2
        h = np.maximum(turbulent, 3.66 * np.interp(water, grid_t, liquid[:, p.K_LIQUID]) / geo[f.BORE])
        into = (wall[:, 0] - water) / (1 / (h * geo[f.CELL_WALL]) + geo[f.R_SKIN])
        outer = geo[f.G_HOST] * (host - wall[:, -1])
        between = link * (wall[:, 1:] - wall[:, :-1])
        gain = np.column_stack([between, outer]) - np.column_stack([into, between])
        before = np.concatenate([[constants.valves[1, f.V_T]], water[:-1]])
        d_water = (flow * p.C_L * (before - water) + into) / (mass * p.C_L)
        d_host = (-outer.sum() - ambient_link * (host - constants.ambient)) / constants.capacity[0]
        return np.concatenate([[d_host], (gain / shells).ravel(), d_water])

    start = np.concatenate([state.nodes, state.cells[0, :, f.W0 :].ravel(), state.cells[0, :, f.TL]])
    return slope, start, sparsity(n)


def sparsity(n: int) -> lil_matrix:
    """Which rate depends on which temperature."""
    size = 1 + n * (f.SHELLS + 1)
    pattern = lil_matrix((size, size))
    pattern[0, 0] = 1
    for i in range(n):
        for k in range(f.SHELLS):
            row = 1 + i * f.SHELLS + k
            pattern[row, max(row - 1, 1) : row + 2] = 1
        last, water = 1 + i * f.SHELLS + f.SHELLS - 1, 1 + n * f.SHELLS + i
        pattern[last, 0] = pattern[0, last] = 1
        pattern[1 + i * f.SHELLS, water] = pattern[water, 1 + i * f.SHELLS] = 1
        pattern[water, water] = 1
        if i:
            pattern[water, water - 1] = 1
    return pattern


def scanned(slope: Callable[[float, Reals], Reals], start: Reals, pattern: lil_matrix) -> float:
    """CPU seconds for SCANNED s of plant time when the solver must stop at every scan, since valves may move
    then.
    """
    begin, y = time.process_time(), start
    for _ in range(round(SCANNED / 0.02)):
        y = solve_ivp(slope, (0, 0.02), y, "BDF", rtol=1e-4, atol=1e-4, jac_sparsity=pattern).y[:, -1]
    return time.process_time() - begin


def rows() -> Iterable[Row]:
    """CPU time of kernel and stiff solver over the hour, their ratio, and how far they end apart."""
    run = Run(plants.platen(80.0 + plants.K0, mass=20_000.0), even=True).go(120, "main")
    slope, start, pattern = equations(run)
    begin = time.process_time()
    run.go(HOUR, "main")
    kernel = time.process_time() - begin
    yield Row("smooth hour: the kernel in 20 ms steps", kernel, "s", 2.0)
    for method, tolerance in (("BDF", 1e-4), ("BDF", TIGHT), ("Radau", TIGHT)):
        begin = time.process_time()
        exact = solve_ivp(
            slope, (0, HOUR), start, method, rtol=tolerance, atol=tolerance, jac_sparsity=pattern
        )
        spent = time.process_time() - begin
        water = abs(run.state.cells[0, -1, f.TL] - exact.y[-1, -1])
        apart = max(abs(run.see("platen") - exact.y[0, -1]), float(water))
        yield Row(f"smooth hour: scipy {method} at {tolerance:.0e} over the kernel", spent / kernel, "x")
        yield Row(f"smooth hour: scipy {method} at {tolerance:.0e} and kernel apart", apart, "K", 0.2)
    spent = scanned(slope, start, pattern) * HOUR / SCANNED
    yield Row(
        f"smooth hour: scipy BDF stopped at every scan (from {SCANNED:.0f} s) over it", spent / kernel, "x"
    )


def main() -> int:
    """Print every row; exit code 1 when a floor is missed."""
    found = list(rows())
    for row in found:
        show(row)
    return int(any(row.holds is False for row in found))


if __name__ == "__main__":
    raise SystemExit(main())
