"""The same step written again in plain C, with its own hands: both must go the same way."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from benchmarks import plant_speed

from steadfall.plant import fields as f
from steadfall.plant.grid.whole import lay_out
from tests.plant.running import steps


@pytest.mark.skipif(shutil.which("gcc") is None, reason="needs gcc")
def test_kernel_and_plain_c_go_the_same_way(tmp_path: Path) -> None:
    library = plant_speed.build(tmp_path, "plain")
    for case in (*plant_speed.CASES, plant_speed.EVERYTHING):
        grid = lay_out(case.plan)
        mine, other = grid.fresh(), grid.fresh()
        in_c = plant_speed.InC(library, grid, other)
        # flashing multiplies round-off tenfold every few steps: coils on a flood part after some 13 s
        for _ in range(1 if case is plant_speed.EVERYTHING else 3):
            for _, valves in case.phases:
                commands = np.array([name.split(".")[1] in valves for name in grid.valves], dtype=np.uint8)
                steps(grid.constants, mine, commands, plant_speed.STEP, 200)
                in_c.go(commands, 200)
        np.testing.assert_allclose(other.nodes, mine.nodes, atol=1e-9)
        np.testing.assert_allclose(other.cells[:, :, f.W0 :], mine.cells[:, :, f.W0 :], atol=1e-6)
        np.testing.assert_allclose(other.circuit[:, f.SHOCK], mine.circuit[:, f.SHOCK], atol=1e-6)
        np.testing.assert_allclose(other.circuit[:, f.P], mine.circuit[:, f.P], rtol=1e-6)
        np.testing.assert_array_equal(other.flags, mine.flags)
