"""Programs as technicians write them: the equal ones are equal, the wrong ones part, the verdicts are as
expected.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from itertools import accumulate

import pytest

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.scan.interpreter import Scanner
from tests.scan.machine import Machine
from tests.st.foreign.cases import BROKEN, CASES, HOLDS, Case
from tests.st.verdicts import broken

SEEDS, SCANS = 12, 250
Rows = list[Mapping[str, Value]]


def trace(network: Network, seed: int) -> list[tuple[int, dict[str, Value]]]:
    """Switches that change rarely in even runs and often in odd ones; measured values on and about the
    edges.
    """
    chance, rows = random.Random(seed), []
    often = 0.02 if seed % 2 == 0 else 0.3
    for _ in range(SCANS):
        given: dict[str, Value] = {}
        for row in network.inputs:
            if chance.random() < often:
                given[row.name] = {
                    Type.BOOL: chance.random() < (0.05 if row.name == "reset" else 0.6),
                    Type.INT: chance.randint(-1, 6),
                    Type.TIME: chance.randint(0, 3000),
                    Type.REAL: chance.choice([90.0, 95.0, 97.0, 100.0, 101.0]),
                }[row.type]
        rows.append((chance.choice([10, 20, 40, 40, 100]), given))
    return rows


def run(network: Network, rows: Sequence[tuple[int, dict[str, Value]]]) -> Rows:
    one = Scanner(network)
    return [one.scan(dt, given) for dt, given in rows]


def runs(case: Case, version: str) -> list[tuple[list[int], Rows]]:
    network = case.network(version)
    found = []
    for seed in range(SEEDS):
        rows = trace(network, seed)
        times = list(accumulate((dt for dt, _ in rows[1:]), initial=0))
        found.append((times, run(network, rows)))
    return found


def test_there_are_enough_of_them() -> None:
    assert len(CASES) >= 8
    assert len({case.style for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_equal_and_wrong(case: Case) -> None:
    reference = case.network("reference")
    for version, same in (("equal", True), ("wrong", False)):
        other = case.network(version)
        assert [(row.name, row.type) for row in other.inputs] == [
            (row.name, row.type) for row in reference.inputs
        ]
        assert set(other.outputs) == set(reference.outputs)
        partings = 0
        for seed in range(SEEDS):
            rows = trace(reference, seed)
            for a, b in zip(run(reference, rows), run(other, rows), strict=True):
                partings += any(a[name] != b[name] for name in reference.outputs)
        assert (partings == 0) is same, version


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_verdicts(case: Case) -> None:
    for place, version in enumerate(("equal", "wrong")):
        seen = runs(case, version)
        for name, (requirement, *verdicts) in case.verdicts.items():
            found = BROKEN if any(broken(requirement, times, rows) for times, rows in seen) else HOLDS
            assert found == verdicts[place], f"{version}: {name}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_fast_scan_runs_them_too(case: Case) -> None:
    network = case.network("equal")
    one, other = Scanner(network), Machine(network)
    for dt, given in trace(network, 5):
        a, b = one.scan(dt, given), other.scan(dt, given)
        assert {name: a[name] for name in network.outputs} == {name: b[name] for name in network.outputs}
