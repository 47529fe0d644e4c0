"""What is written and read back does the same: on plans, and on networks with every node class."""

from __future__ import annotations

import random
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import BLOCKS as BLOCK_CLASSES
from steadfall.logic.nodes import NODE_CLASSES, Constant, Since, Type, Value
from steadfall.logic.types import walk
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.source import PlanError
from steadfall.st.read.literal import duration
from steadfall.st.read.whole import read_st
from steadfall.st.write.blocks import BLOCKS
from steadfall.st.write.expression import EXPRESSIONS
from steadfall.st.write.literal import time_literal
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES, ROOT
from tests.logic import plans
from tests.logic.networks import TRACES, networks
from tests.logic.test_properties import PLAN as ALL_DOSES
from tests.st.agreement import assert_same
from tests.st.flat import flat

# Blocks more: of two sensors of a type one has a value that stands in; one of two circuits has a button.
UNLIKE = {"bad_sensors": 1, "hand": 1}
PLANS: Mapping[str, Plan] = {
    **{name: read_file(path) for name, path in EXAMPLES.items()},
    "two delayed circuits": plans.large(),
    "every kind of dose": ALL_DOSES,
}


def trace(network: Network, seed: int, scans: int) -> list[tuple[int, dict[str, Value]]]:
    """Inputs that change now and then, scans of 1 to 4000 ms."""
    chance, rows = random.Random(seed), []
    for _ in range(scans):
        given_: dict[str, Value] = {}
        for row in network.inputs:
            if chance.random() < 0.1:
                highest = (
                    8 if row.name.endswith("pressure") else 450
                )  # barg, of which 7 trip; else degC or percent
                real = chance.choice([0.0, 5.0, chance.uniform(-1, highest)])
                given_[row.name] = chance.random() < 0.7 if row.type is Type.BOOL else real
        rows.append((chance.choice([1, 10, 20, 25, 40, 400, 4000]), given_))
    return rows


def test_every_node_class_has_a_row() -> None:
    assert set(EXPRESSIONS) == set(NODE_CLASSES)
    assert set(BLOCKS) == set(BLOCK_CLASSES)


@pytest.mark.parametrize("name", PLANS)
def test_a_plan_read_back_does_the_same(name: str) -> None:
    plan = PLANS[name]
    emitted, network = structured_text(plan), build(plan)
    back = read_st(emitted.text, "plan.st", emitted.names)
    assert [row.name for row in back.inputs] == [row.name for row in network.inputs]
    assert back.outputs == tuple(name for name in network.outputs if name not in energised(plan))
    stages = [f"{circuit}.stage" for circuit in plan.circuits]
    for seed in range(3):
        assert_same(
            network, back, [*network.outputs, *stages, "permitted", "tripped"], trace(network, seed, 600)
        )


@pytest.mark.parametrize(
    "path", sorted((ROOT / "tests" / "plans" / "good").glob("*.yaml")), ids=lambda path: path.stem
)
def test_every_good_plan_has_a_block_per_type_and_reads_back(path: Path) -> None:
    plan = read_file(path)
    emitted, network = structured_text(plan), build(plan)
    used = {circuit.type for circuit in plan.circuits.values()}
    assert emitted.text.count("\nFUNCTION_BLOCK ") == len(used) + UNLIKE.get(path.stem, 0)
    back = read_st(emitted.text, "plan.st", emitted.names)
    assert_same(network, back, network.outputs, trace(network, 1, 250))


@pytest.mark.parametrize("name", PLANS)
def test_circuits_written_alike_do_the_same(name: str) -> None:
    plan = PLANS[name]
    wanted, got = build(plan), build(plan, alike=True)
    for seed in range(2):
        assert_same(wanted, got, wanted.outputs, trace(wanted, seed, 400))


@pytest.mark.slow
@settings(max_examples=100, deadline=None)
@given(networks(), TRACES)
def test_any_network_read_back_does_the_same(
    network: Network, rows: list[tuple[int, Mapping[str, Value]]]
) -> None:
    constants = [node for row in network.assignments for node in walk(row.node) if isinstance(node, Constant)]
    reals = [float(node.value) for node in constants if node.type is Type.REAL]
    reals += [float(row.initial) for row in network.assignments if row.type is Type.REAL]
    assume(all(value - value == 0 for value in reals))  # what is not finite cannot be written down
    times = [row for row in network.assignments if isinstance(row.node, Since)]
    assume(all(row.initial >= 0 for row in times))  # no event lies ahead
    text, names = flat(network)
    try:
        back = read_st(text, "any.st", names)
    except PlanError as error:
        assume("beyond what a controller" not in str(error) and "this rounding" not in str(error))
        raise
    assert_same(network, back, [row.name for row in network.assignments], rows)


@given(st.integers(0, 10**7), st.booleans())
def test_every_time_reads_back(ms: int, negative: bool) -> None:
    value = -ms if negative else ms
    assert duration(time_literal(value)) == value
