"""The kernel as a program: chunks, plain Python, valves, what is seen."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Circuit, Plan
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import lay_out
from steadfall.plant.kernel.observe import observe
from steadfall.plant.kernel.step import step
from tests.plant import plants
from tests.plant.running import Run, steps


def _sequence(run: Run, chunk: int) -> list[np.ndarray]:
    constants, state = run.grid.constants, run.state
    for on in ([1, 0, 1], [0, 0, 1], [0, 1, 0], [0, 0, 0]):
        commands = np.array(on, dtype=np.uint8)
        for _ in range(200 // chunk):
            steps(constants, state, commands, 0.02, chunk)
    return [np.asarray(part) for part in state]


@pytest.mark.parametrize("plan", [plants.platen(), plants.oven()], ids=["platen", "oven"])
@pytest.mark.parametrize("chunk", [1, 5, 10, 50])
def test_chunked_is_the_whole_bit_for_bit(plan: Plan, chunk: int) -> None:
    whole = _sequence(Run(plan), 200)
    cut = _sequence(Run(plan), chunk)
    for one, other in zip(whole, cut, strict=True):
        np.testing.assert_array_equal(one, other)


def _few_steps() -> list[list[float]]:
    """A few steps of everything: doses, air, full stream, a coil in gas."""
    rows = []
    for plan in (plants.platen(), plants.oven()):
        grid = lay_out(plan, 5)
        state, out = grid.fresh(), np.zeros(len(grid.observed))
        for on in ([1, 0, 1], [0, 1, 0], [0, 0, 1]):
            for _ in range(8):
                step(grid.constants, state, np.array(on, dtype=np.uint8), 0.05)
            observe(grid.constants, state, out)
            rows.append([*out.tolist(), *state.cells.ravel().tolist()])
    return rows


def test_compiled_and_plain_python_agree() -> None:
    """The same kernels run as plain Python in a process where compilation is switched off."""
    root = Path(__file__).parents[2]
    code = "import json; from tests.plant import test_kernel as t; print(json.dumps(t._few_steps()))"
    plain = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code],
        cwd=root,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": f"{root}{os.pathsep}{root / 'src'}"},
        capture_output=True,
        text=True,
        check=True,
    )
    for one, other in zip(json.loads(plain.stdout), _few_steps(), strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12)


def test_valves_travel_at_their_speed_and_are_counted() -> None:
    run = Run(plants.platen())
    run.go(0.26, "main")
    assert run.see("upper.main.position") == pytest.approx(0.52)
    assert run.see("upper.main.is_open") == run.see("upper.main.is_shut") == 0.0
    run.go(0.3, "main")
    assert run.see("upper.main.position") == run.see("upper.main.is_open") == 1.0
    run.go(0.1).go(0.1, "main").go(2.0)
    assert run.see("upper.main.position") == 0.0
    assert run.see("upper.main.is_shut") == 1.0
    book = run.books().valves["upper.main"]
    assert book.openings == 2
    assert book.open_time == pytest.approx(0.66)


def test_fresh_plant_shows_its_start() -> None:
    run = Run(plants.platen())
    assert run.see("platen") == run.see("platen.surface") == run.see("upper.wall") == 190 + plants.K0
    assert run.see("upper.outlet_temperature") == 190 + plants.K0
    assert run.see("upper.pressure") == ATMOSPHERE
    assert run.see("upper.water_held") == 0


def test_two_circuits_on_one_host_share_it_alike() -> None:
    plan = plants.platen()
    plan = evolve(plan, circuits={**plan.circuits, "lower": Circuit("lower", "kind", "platen")})
    run = Run(plan).go(30, "main")
    assert run.grid.valves[:2] == ("upper.small", "upper.main")
    assert run.see("upper.heat") == pytest.approx(run.see("lower.heat"), rel=1e-12)
    assert run.see("platen") < Run(plants.platen()).go(30, "main").see("platen") - 1
    assert run.closes()
    single = Run(plan).go(30, "upper.main")
    assert single.see("lower.water_flow") == 0
    assert single.own(f.PEAK, 1) < 1.1e5
