"""How far the model itself may be off: a range for each correlation and closure, and the plant with one of them moved.

Rule of this file: one row for each, a factor on what the kernel uses, equally likely in its logarithm between the two
ends. A range is the scatter that the source of the correlation states, or says that it is a judgement.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from attrs import evolve, frozen

from steadfall.plant import fields as f
from steadfall.plant import properties as w
from steadfall.plant.grid import Grid
from steadfall.plant.path import wet_all
from steadfall.plant.state import Constants

Move = Callable[[Constants, float], Constants]


@frozen
class Doubt:
    """A part of the model that may be off by a factor between `low` and `high`."""

    name: str
    low: float
    high: float
    source: str
    move: Move


def _boiling(column: int) -> Move:
    def move(constants: Constants, factor: float) -> Constants:
        table = constants.boiling.copy()
        table[:, column] *= factor
        return constants._replace(boiling=table)

    return move


def _convection(constants: Constants, factor: float) -> Constants:
    table = constants.liquid.copy()
    table[:, w.C_TURBULENT] *= factor
    return constants._replace(liquid=table)


def _geometry(field: int) -> Move:
    def move(constants: Constants, factor: float) -> Constants:
        rows = constants.circuit.copy()
        rows[:, field] *= factor
        rows[:, f.PER_WET_ALL] = np.array([wet_all(float(wetting)) for wetting in rows[:, f.WETTING]])
        return constants._replace(circuit=rows)

    return move


DOUBTS = (
    Doubt(
        "nucleate boiling", 0.5, 2.0, "scatter of Rohsenow's correlation (Incropera 6e, 10.4.1)", _boiling(w.C_NUCLEATE)
    ),
    Doubt(
        "peak heat flux", 0.8, 1.4, "Zuber within 20 % in pools; 40 % more in tubes (2006 table)", _boiling(w.Q_PEAK)
    ),
    Doubt("film collapse", 0.6, 1.4, "published minimum temperatures differ by 50 K and more", _boiling(w.DT_MINIMUM)),
    Doubt("film boiling", 0.5, 2.0, "2003 look-up table of film boiling in tubes, near 1 bar", _boiling(w.C_FILM)),
    Doubt("convection in water", 0.75, 1.25, "Dittus and Boelter within 25 % (Incropera 6e, 8.5)", _convection),
    Doubt("wetted share of the bore", 0.3, 2.0, "closure, a judgement: 0.03 .. 0.2", _geometry(f.WETTING)),
    Doubt("slip of steam", 0.5, 2.0, "closure, a judgement: at most 10 .. 40", _geometry(f.MOST_SLIP)),
    Doubt("friction of the path", 0.85, 1.15, "roughness and bends as built, a judgement", _geometry(f.K_PIPE)),
)


def doubted(grid: Grid, factors: tuple[float, ...]) -> Grid:
    """A laid-out plant with each of `DOUBTS` moved by its factor."""
    constants = grid.constants
    for doubt, factor in zip(DOUBTS, factors, strict=True):
        constants = doubt.move(constants, factor)
    return evolve(grid, constants=constants)
