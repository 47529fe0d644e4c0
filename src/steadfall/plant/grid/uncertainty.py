"""How far the model itself may be off: a range for each correlation and closure, and the plant with one of
them moved.

Rule of this file: one row for each, a factor on what the kernel uses, equally likely in its logarithm between
the two ends. A range is the scatter that the source of the correlation states, or says that it is a
judgement. One factor a run holds for every circuit and cell: where the same formula stands in two places, it
errs in both alike.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from attrs import evolve, frozen

from steadfall.plan.keys.numbers import parameters
from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Bank, Path
from steadfall.plant import fields as f
from steadfall.plant.grid.path import wet_all
from steadfall.plant.grid.whole import Grid
from steadfall.plant.law import properties as w
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


@frozen
class HostDoubt:
    """The same for a conductance to the host that follows from geometry: what it is about, on the plan's
    paths.
    """

    name: str
    low: float
    high: float
    source: str
    concerns: Callable[[Path], bool]


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
        "nucleate boiling",
        0.3,
        2.0,
        "Rohsenow scatters by 2 (Incropera 6e, 10.4.1); other correlations and Nukiyama lie at 0.3 .. 0.8 "
        "of it "
        "(docs/validation.md)",
        _boiling(w.C_NUCLEATE),
    ),
    Doubt(
        "peak heat flux",
        0.8,
        2.2,
        "Zuber within 20 % in pools; 1.4 .. 2.2 times that in tubes (2006 table, docs/validation.md)",
        _boiling(w.Q_PEAK),
    ),
    Doubt(
        "rise of the peak with subcooling",
        0.5,
        1.5,
        "Ivey and Morris 1962 for wires and plates; in a tube a judgement",
        _boiling(w.K_SUBCOOLED),
    ),
    Doubt(
        "film collapse",
        0.4,
        1.2,
        "boiling water: from the pool's (Berenson 1961) to homogeneous nucleation; Groeneveld and Stewart "
        "1982 for tubes between (docs/validation.md)",
        _boiling(w.DT_MINIMUM),
    ),
    Doubt(
        "rise of the collapse with subcooling",
        0.4,
        1.3,
        "6 K/K in tubes; 8 on spheres (Dhir and Purohit 1978, from memory), less on plates: 2.5 .. 8",
        _boiling(w.DT_PER_SUBCOOLED),
    ),
    Doubt(
        "film boiling",
        0.5,
        2.0,
        "2003 look-up table of film boiling in tubes, near 1 bar",
        _boiling(w.C_FILM),
    ),
    Doubt(
        "convection in water", 0.75, 1.25, "Dittus and Boelter within 25 % (Incropera 6e, 8.5)", _convection
    ),
    Doubt("wetted share of the bore", 0.3, 2.0, "closure, a judgement: 0.03 .. 0.2", _geometry(f.WETTING)),
    Doubt("slip of steam", 0.5, 2.0, "closure, a judgement: at most 10 .. 40", _geometry(f.MOST_SLIP)),
    Doubt(
        "heat and mass between water and gas",
        0.2,
        5.0,
        "closure, goes with the drop's size squared: drops of 0.2 .. 1.1 mm, a judgement",
        _geometry(f.DROPS),
    ),
    Doubt("time to condense", 1 / 3, 3.0, "closure, a judgement: 0.1 .. 0.9 s", _geometry(f.CONDENSING)),
    Doubt(
        "flashing at the outlet",
        0.5,
        1.3,
        "omega: the homogeneous law passes 8 % less than the isentropic limit (docs/validation.md); water "
        "that has no "
        "time to flash passes more, a judgement",
        _boiling(w.OMEGA),
    ),
    Doubt(
        "friction of the path", 0.85, 1.15, "roughness and bends as built, a judgement", _geometry(f.K_PIPE)
    ),
)


def _bank_of(finned: bool) -> Callable[[Path], bool]:
    def concerns(path: Path) -> bool:
        bank: Bank | None = path.bank
        return bank is not None and (bank.fins is not None) == finned

    return concerns


HOST_DOUBTS = (
    HostDoubt("bare tube bank", 0.85, 1.15, "Zukauskas 1972: 15 % (from memory)", _bank_of(finned=False)),
    HostDoubt(
        "finned tube bank", 0.8, 1.25, "Ganguli et al. 1985: 10 .. 25 % (from memory)", _bank_of(finned=True)
    ),
    HostDoubt(
        "holes in the host",
        1.0,
        1.09,
        "the solved field lies 0 .. 9 % above the shape factor (docs/physics.md)",
        lambda path: path.drilled is not None,
    ),
)


def doubts(plan: Plan) -> tuple[Doubt | HostDoubt, ...]:
    """The rows that concern a plan: the fluid's always, a host's where its geometry is given."""
    paths = [plan.type_of(name).path for name in plan.circuits]
    return (*DOUBTS, *(doubt for doubt in HOST_DOUBTS if any(doubt.concerns(path) for path in paths)))


def with_hosts_off(plan: Plan, factors: tuple[float, ...]) -> Plan:
    """The plan with its conductances from geometry off by their factors; `factors` as `doubts` has them."""
    for doubt, factor in zip(doubts(plan), factors, strict=True):
        if isinstance(doubt, HostDoubt):
            numbers = parameters(plan)
            for name, kind in plan.circuit_types.items():
                if doubt.concerns(kind.path):
                    off = numbers["circuit_types", name, "path", "host_factor"]
                    plan = off.put(plan, off.get(plan) * factor)
    return plan


def doubted(grid: Grid, factors: tuple[float, ...]) -> Grid:
    """A laid-out plant with each of `DOUBTS` moved by its factor; factors of hosts, which follow, are in it
    already.
    """
    constants = grid.constants
    for doubt, factor in zip(DOUBTS, factors, strict=False):
        constants = doubt.move(constants, factor)
    return evolve(grid, constants=constants)
