"""A logic written as one function means what the interpreter says, where every moment is known."""

from __future__ import annotations

import math
from collections.abc import Mapping

from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.bench.judge.explain.amount import Range
from steadfall.bench.judge.explain.scan import ways
from steadfall.bench.judge.explain.way import Exact
from steadfall.bench.judge.explain.world import World, shape, unborn
from steadfall.bench.judge.explain.written import WRITTEN
from steadfall.bench.judge.explain.zone import NOW, ZERO
from steadfall.logic.network import Network
from steadfall.logic.nodes import NODE_CLASSES, Value
from steadfall.scan.interpreter import Scanner
from tests.logic.networks import VALUES, networks

EXACT = Exact(1, 1_000, step=0.0, drift=0.0)


def test_every_node_has_a_row() -> None:
    assert set(WRITTEN) == set(NODE_CLASSES)


def same(one: Value, other: Value) -> bool:
    """Equal, or both no number."""
    return one == other or (math.isnan(one) and math.isnan(other))


def shows(world: World, values: Mapping[str, Value]) -> bool:
    """Whether a world may be what the interpreter has come to."""
    ranges = {name: one for name, one in world.values.items() if isinstance(one, Range)}
    plain = {name: one for name, one in world.values.items() if name not in ranges}
    inside = all(one.low - 1e-6 <= values[name] <= one.high + 1e-6 for name, one in ranges.items())
    return inside and all(same(one, values[name]) for name, one in plain.items())


@given(networks(), st.data())
@settings(max_examples=40)
def test_some_way_through_each_scan_is_the_interpreters(network: Network, data: st.DataObject) -> None:
    made, scanner, now = shape(network), Scanner(network), 0
    world = unborn(made)
    inputs = {row.name: row.initial for row in network.inputs}
    for number in range(4):
        dt = data.draw(st.integers(1, 600)) if number else 0
        inputs |= {row.name: data.draw(VALUES[row.type]) for row in network.inputs if row.holds is None}
        values = scanner.scan(dt, inputs)
        now += dt
        zone = world.zone.next((dt, dt), (now, now)) if number else world.zone.between(NOW, ZERO, 0, 0)
        assert zone is not None
        found = [one for one in ways(made, world, zone, made.given(inputs), EXACT) if shows(one, values)]
        assert found
        world = found[0]
