"""Measured steps of hot water through a cold steel pipe: transport with a wall that stores heat.

University of Liege pipe test bench, as distributed with the IBPSA Modelica library (PlugFlowPipes validation,
revised BSD licence): 39 m, 52.48 / 60.3 mm, 13 mm of insulation of 0.04 W/m/K, film outside about 5 W/m2/K,
ambient 18 degC. The records are not part of this project; they are looked for in a folder `data/pipe-step`
beside it, and the test says so when they are not there. An upwind model of 200 cells with the water's real
density has 0.3 .. 0.45 K, without the wall's heat capacity 2 .. 6 K; ours carries 960 kg/m3 throughout, so
its front comes 3 % early.
"""

from __future__ import annotations

import math
from pathlib import Path as File

import numpy as np
import pytest

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Circuit, CircuitType, Material, Outlet, Path, Supply
from steadfall.plant import fields as f
from steadfall.plant.law.valve import IN_SOFT
from tests.physics.pipe_step import FOUND, GOOD, TELLING
from tests.plant import plants
from tests.plant.plants import K0, KV
from tests.plant.running import Run

RUNS = sorted(File(__file__).parents[2].parent.glob("*/data/pipe-step/run_*.txt"))
INSULATION = 1 / (
    math.log(43.15 / 30.15) / (2 * math.pi * 0.04 * 39) + 1 / (5.0 * 2 * math.pi * 0.04315 * 39)
)  # W/K
STEP = 0.5  # s
CELLS = 200


def pipe(heat_capacity: float) -> Run:
    steel = Material("steel", 7800.0, heat_capacity, 45.0, 12e-6, 200e9, 0.3)
    path = Path(0.05248, 39.0, 1, 0.00391, "steel", INSULATION, 0, 5e-5)
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


def misfit(rows: np.ndarray, heat_capacity: float) -> float:
    """Root mean square error of the outlet's water temperature, K."""
    run = pipe(heat_capacity)
    valves = run.grid.constants.valves
    run.state.cells[0, :, f.W0 :] = rows[0, 4] + K0

    def feed(flow: float, celsius: float) -> None:
        drop = 5e5 - run.see("pipe.pressure")
        valves[0, f.V_KV] = flow / (1000.0 * drop / math.sqrt(1e5 * (drop + IN_SOFT)))
        valves[0, f.V_T] = celsius + K0

    feed(rows[0, 1], rows[0, 5])
    run.go(300.0, "inlet")
    times = np.arange(rows[0, 0], rows[-1, 0], STEP)
    flows, inlet = (np.interp(times + STEP / 2, rows[:, 0], rows[:, column]) for column in (1, 5))
    got = []
    for flow, celsius in zip(flows, inlet, strict=True):
        feed(flow, celsius)
        got.append(run.go(STEP, "inlet").see("pipe.outlet_temperature") - K0)
    measured = np.interp(times + STEP, rows[:, 0], rows[:, 3])
    return float(np.sqrt(np.mean((np.array(got) - measured) ** 2)))


@pytest.mark.skipif(not RUNS, reason="the measured pipe steps do not lie beside the project")
@pytest.mark.parametrize("record", RUNS, ids=lambda path: path.stem)
def test_measured_pipe_step(record: File) -> None:
    rows = np.loadtxt(record, delimiter=",", skiprows=2)
    with_wall, without = misfit(rows, 480.0), misfit(rows, 1.0)
    assert with_wall < GOOD, f"{record.stem}: {with_wall:.2f} K"
    assert without > TELLING * with_wall, (
        f"{record.stem}: {without:.2f} K without the wall's heat, {with_wall:.2f} with it"
    )
    assert (with_wall, without) == pytest.approx(FOUND[record.stem.removeprefix("run_")], rel=0.02), (
        "renew pipe_step.py"
    )
