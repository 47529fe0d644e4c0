"""Measured steps of hot water through a cold steel pipe: transport with a wall that stores heat.

University of Liege pipe test bench, as distributed with the IBPSA Modelica library (PlugFlowPipes
validation): 39 m, 52.48 / 60.3 mm, 13 mm of insulation of 0.04 W/m/K, film outside about 5 W/m2/K, ambient
18 degC. The records and their licence lie in data/pipe_step. Nobody measured what the pipe held before a
record begins: each run is made twice, from a pipe as warm as its inlet and as warm as its outlet at the first
moment.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path as File

import numpy as np
from numpy.typing import NDArray

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Circuit, CircuitType, Material, Outlet, Path, Supply
from steadfall.plant import fields as f
from steadfall.plant.law.valve import IN_SOFT
from tests.physics.check import Behaviour, Group, Row
from tests.plant import plants
from tests.plant.plants import K0, KV
from tests.plant.running import Run

BENCH = (
    "measured: University of Liege pipe test bench, as distributed with the IBPSA Modelica library "
    "(PlugFlowPipes, "
    "PipeDataULg)"
)
# Run: how many times worse it must be without the wall's heat; the last is not a step but a slow change of
# 2.8 h
RUNS = {"150801": 3.0, "151202": 3.0, "151204_1": 3.0, "151204_2": 3.0, "160104_2": 1.1}
TIME, FLOW, OUTLET, INLET = 0, 1, 3, 5  # columns: s, kg/s, degC of the water
STARTS = {"inlet": INLET, "outlet": OUTLET}  # what the pipe is as warm as at the first moment
BORE, LENGTH = 0.05248, 39.0  # m
INSULATION = 1 / (
    math.log(43.15 / 30.15) / (2 * math.pi * 0.04 * LENGTH) + 1 / (5.0 * 2 * math.pi * 0.04315 * LENGTH)
)  # W/K
STEP = 0.5  # s
CELLS = 200
VOLUMES, PARTS = 3.0, 30  # of the pipe that flow through it before a record begins, and in how many parts
GOOD = 0.5  # K
STEEL, NO_WALL = 480.0, 1.0  # J/kg/K


def record(run: str) -> NDArray[np.float64]:
    """The rows of a record."""
    path = File(__file__).parent / "data" / "pipe_step" / f"run_{run}.txt"
    return np.loadtxt(path, delimiter=",", skiprows=2)


def pipe(heat_capacity: float) -> Run:
    """The pipe, with a wall of so many J/kg/K."""
    steel = Material("steel", 7800.0, heat_capacity, 45.0, 12e-6, 200e9, 0.3)
    path = Path(BORE, LENGTH, 1, 0.00391, "steel", INSULATION, 0, 5e-5, wall_in_body=False)
    valve = plants.valve("inlet", "water", 1.0)
    kind = CircuitType("kind", path, Outlet(50 * KV, ATMOSPHERE), 11e5, {"inlet": valve}, (), (), 0, "idle")
    plan = plants.make(
        materials={"steel": steel},
        supplies={"water": Supply("water", "water", 5e5, 290.0)},
        bodies={"hall": plants.body("hall", 1e9, 18 + K0)},
        circuit_types={"kind": kind},
        circuits={"pipe": Circuit("pipe", "kind", "hall")},
        ambient=18 + K0,
    )
    return Run(plan, CELLS, STEP)


def feed(run: Run, flow: float, celsius: float) -> None:
    """Open the valve just so far that `flow` comes in at the pressure of the last step."""
    valves, drop = run.grid.constants.valves, 5e5 - run.see("pipe.pressure")
    valves[0, f.V_KV] = flow / (1000.0 * drop / math.sqrt(1e5 * (drop + IN_SOFT)))
    valves[0, f.V_T] = celsius + K0


def misfit(rows: NDArray[np.float64], heat_capacity: float, start: str) -> float:
    """Root mean square error of the outlet's water temperature, K."""
    run, before = pipe(heat_capacity), rows[0, STARTS[start]]
    run.state.cells[0, :, f.W0 :] = before + K0
    filling = VOLUMES * 1000.0 * math.pi * BORE**2 / 4 * LENGTH / rows[0, FLOW]
    for _ in range(PARTS):
        feed(run, rows[0, FLOW], before)
        run.go(filling / PARTS, "inlet")
    times = np.arange(rows[0, TIME], rows[-1, TIME], STEP)
    flows, inlet = (np.interp(times + STEP / 2, rows[:, TIME], rows[:, column]) for column in (FLOW, INLET))
    got = []
    for flow, celsius in zip(flows, inlet, strict=True):
        feed(run, flow, celsius)
        got.append(run.go(STEP, "inlet").see("pipe.outlet_temperature") - K0)
    measured = np.interp(times + STEP, rows[:, TIME], rows[:, OUTLET])
    return float(np.sqrt(np.mean((np.array(got) - measured) ** 2)))


def rows() -> Iterator[Row]:
    for run, telling in RUNS.items():
        measured, said = record(run), f"below {GOOD:g} K, and {telling:g} times that without the wall's heat"
        for start in STARTS:
            with_wall, without = (misfit(measured, capacity, start) for capacity in (STEEL, NO_WALL))
            holds = with_wall < GOOD and without > telling * with_wall
            what = f"error at the outlet, run {run}, from its {start}, with and without the wall"
            yield Behaviour(what, BENCH, said, (with_wall, without), holds, "K")


PIPE_STEP = Group(
    "Measured steps of hot water through a pipe",
    f"39 m of steel pipe of 52.5 mm, water of 14 to 62 degC, 0.25 to 1.6 kg/s, {CELLS} cells, nothing "
    "fitted. Each\n"
    "run is made twice, since nobody measured what the pipe held before it: as warm as the inlet and as the "
    "outlet at\n"
    "the first moment. The last changes so slowly that the wall's heat hardly matters. It is one phase only: "
    "no record\n"
    "of dosed water on hot metal was found.",
    rows,
)
