"""The books of a run: what came in, what left, what is still there; and by how much they fail to close."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from attrs import frozen

from steadfall.plant import fields as f
from steadfall.plant.grid.whole import Grid
from steadfall.plant.law.properties import C_A, C_L, C_V, H_0, T0
from steadfall.plant.state import Reals, State

TINY = 1e-9  # kg, so that a book of nothing closes
A_LITTLE_HEAT = 100.0  # J, far below any cooling: round-off in tonnes of steel is not measured against less


@frozen
class CircuitBook:
    """What one circuit used and did since the start (kg, J)."""

    water_in: float
    water_out: float  # as liquid
    steam_out: float
    flashed_out: float  # of what left as liquid, what turned to steam behind the outlet
    evaporated: float
    condensed: float
    held: float  # water and steam still in the circuit
    air_in: float
    heat_from_host: float
    heat_to_liquid: float
    heat_to_gas: float
    peak_pressure: float  # Pa


@frozen
class ValveBook:
    """What one valve did since the start."""

    openings: int
    open_time: float  # s under the command to open


@frozen
class Books:
    """Relative errors per book, and the amounts behind them."""

    errors: Mapping[str, float]  # water, air, energy
    circuits: Mapping[str, CircuitBook]
    valves: Mapping[str, ValveBook]
    heat_to_ambient: float  # J
    heat_from_hosts: float  # J, from bodies and gas streams into the circuits' walls
    heat_from_heating: float  # J, of heating that has not been shut off


def books(grid: Grid, state: State) -> Books:
    """Close the books of a run."""
    circuits = {name: _circuit(state, c) for c, name in enumerate(grid.circuits)}
    valves = {
        name: ValveBook(int(state.openings[v]), float(state.open_time[v]))
        for v, name in enumerate(grid.valves)
    }
    return Books(
        errors={"water": _water(state), "air": _air(grid, state), "energy": _energy(grid, state)},
        circuits=circuits,
        valves=valves,
        heat_to_ambient=float(state.ambient_heat[0]),
        heat_from_hosts=float(state.books[:, f.Q_HOST].sum()),
        heat_from_heating=float(state.heating[0]),
    )


def _circuit(state: State, c: int) -> CircuitBook:
    row, cells = state.books[c], state.cells[c]
    return CircuitBook(
        water_in=float(row[f.WATER_IN]),
        water_out=float(row[f.WATER_OUT]),
        steam_out=float(row[f.STEAM_OUT]),
        flashed_out=float(row[f.FLASHED_OUT]),
        evaporated=float(row[f.EVAPORATED]),
        condensed=float(row[f.CONDENSED]),
        held=float(held(cells).sum()),
        air_in=float(row[f.AIR_IN]),
        heat_from_host=float(row[f.Q_HOST]),
        heat_to_liquid=float(row[f.Q_LIQUID]),
        heat_to_gas=float(row[f.Q_GAS]),
        peak_pressure=float(state.circuit[c, f.PEAK]),
    )


def _relative(miss: Reals, size: Reals) -> float:
    """The worst circuit's error over what it moved."""
    return float(np.max(np.abs(miss) / (size + TINY), initial=0.0))


def _water(state: State) -> float:
    row = state.books
    inside = held(state.cells).sum(axis=1)
    miss = row[:, f.WATER_IN] - row[:, f.WATER_OUT] - row[:, f.STEAM_OUT] - inside
    return _relative(miss, row[:, f.WATER_IN])


def _air(grid: Grid, state: State) -> float:
    row = state.books
    start, now = (
        (cells[:, :, f.MA] * cells[:, :, f.SIZE]).sum(axis=1)
        for cells in (grid.constants.cells_start, state.cells)
    )
    came = start + row[:, f.AIR_IN] + row[:, f.AIR_SUCKED]
    return _relative(came - row[:, f.AIR_OUT] - now, came)


def held(cells: Reals) -> Reals:
    """Water and steam in each cell, kg."""
    return np.asarray((cells[..., f.ML] + cells[..., f.MV]) * cells[..., f.SIZE])


def contents(cells: Reals) -> Reals:
    """Enthalpy of what is in each circuit, J above liquid water and air at 0 degC."""
    liquid = cells[:, :, f.ML] * C_L * (cells[:, :, f.TL] - T0)
    capacity = cells[:, :, f.MA] * C_A + cells[:, :, f.MV] * C_V
    gas = capacity * (cells[:, :, f.TG] - T0) + cells[:, :, f.MV] * H_0
    total: Reals = ((liquid + gas) * cells[:, :, f.SIZE]).sum(axis=1)
    return total


def _energy(grid: Grid, state: State) -> float:
    """Fluid, walls and network each on their own, so that errors cannot hide behind each other; over the heat
    moved.
    """
    constants, row = grid.constants, state.books
    start = constants.cells_start
    taken = row[:, f.Q_LIQUID] + row[:, f.Q_GAS]
    moved = (
        np.abs(row[:, f.Q_LIQUID])
        + np.abs(row[:, f.Q_GAS])
        + np.abs(row[:, f.H_IN])
        + np.abs(row[:, f.Q_HOST])
    )
    fluid = (
        contents(state.cells) - contents(start) - (row[:, f.H_IN] - row[:, f.H_OUT] + taken + row[:, f.WORK])
    )
    rise = (state.cells[:, :, f.W0 :] - start[:, :, f.W0 :]) * start[:, :, f.SIZE, None]
    walls = (rise * constants.shell_capacity[:, None, :]).sum(axis=(1, 2)) - (row[:, f.Q_HOST] - taken)
    stored = float(constants.capacity @ (state.nodes - constants.start))
    given, heated = float(row[:, f.Q_HOST].sum() + state.ambient_heat[0]), float(state.heating[0])
    network = abs(stored + given - heated) / (abs(stored) + abs(given) + heated + A_LITTLE_HEAT)
    return max(_relative(fluid, moved + A_LITTLE_HEAT), _relative(walls, moved + A_LITTLE_HEAT), network)
