"""The compiled scan gives the interpreter's values on every written plan, over random traces of its own
inputs.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.plan.read.whole import read_file
from tests.logic.plans import large
from tests.logic.test_build import WRITTEN
from tests.scan.agreement import assert_agree


def trace(network: Network, seed: int, scans: int) -> list[tuple[int, dict[str, Value]]]:
    """Inputs that change now and then; scans of the usual length, odd ones, and long gaps that run timers
    out.
    """
    chance = random.Random(seed)
    rows: list[tuple[int, dict[str, Value]]] = []
    for _ in range(scans):
        changed: dict[str, Value] = {}
        for row in network.inputs:
            if chance.random() < 0.05:
                real = chance.choice([chance.uniform(-10.0, 300.0), chance.uniform(0.0, 100.0)])
                changed[row.name] = chance.random() < 0.6 if row.type is Type.BOOL else real
        rows.append((chance.choice([20, 20, 20, 7, 40, 0, 1000, 30_000]), changed))
    return rows


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("path", WRITTEN, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_written_plans(path: Path, seed: int) -> None:
    network = build(read_file(path))
    assert_agree(network, trace(network, seed, 400))


def test_a_large_plan() -> None:
    network = build(large())
    assert_agree(network, trace(network, 3, 2000))
