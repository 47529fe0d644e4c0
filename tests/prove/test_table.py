"""The table of meanings is complete, and the ends of whole numbers hold."""

from __future__ import annotations

from hypothesis import given, settings

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import NODE_CLASSES
from steadfall.prove.system.bounds.ranges import ranges
from steadfall.prove.system.meaning import MEANING
from steadfall.scan.interpreter import Scanner
from tests.logic.networks import TRACES, networks
from tests.prove.plans import demo


def test_every_node_class_has_a_meaning_to_the_solver() -> None:
    assert set(MEANING) == set(NODE_CLASSES)


def test_the_ends_of_the_demo_plan() -> None:
    found = ranges(build(demo()))
    assert found["upper.stage"] == (0, 7)  # idle, five stages, two finish steps
    assert found["upper.target"] == (0, 5)
    assert found["upper.stage_time"] == (0, 60_000)


@settings(max_examples=60, deadline=None)
@given(networks(), TRACES)
def test_no_run_leaves_the_ends(
    network: Network, trace: list[tuple[int, dict[str, bool | int | float]]]
) -> None:
    found, run = ranges(network), Scanner(network)
    for dt, inputs in trace:
        values = run.scan(dt, inputs)
        for row in network.assignments:
            if row.name in found:
                low, high = found[row.name]
                assert low <= values[row.name] <= high
            if f"{row.name}.ET" in values:
                assert values[f"{row.name}.ET"] <= found[f"{row.name}.ET"][1]
