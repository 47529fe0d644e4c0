"""An input may have any name: one that is called like a power cut is an input still."""

from __future__ import annotations

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Type
from steadfall.prove.engines import bounded
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import model
from steadfall.runs.json import from_json, steps_json

ON, COUNT = nodes.Read("power_cut", Type.BOOL), nodes.Read("off_ms", Type.INT)
LATE = nodes.Ton(ON, nodes.Constant(20, Type.TIME))
FIVE = nodes.Compare("=", COUNT, nodes.Constant(5, Type.INT))
INPUTS = (Input("power_cut", Type.BOOL), Input("off_ms", Type.INT, holds=(0, 9)))
ROWS = (
    Assignment("late", Type.BOOL, LATE, False),
    Assignment("bad", Type.BOOL, nodes.And((nodes.Read("late", Type.BOOL), FIVE)), False),
)


def test_a_violation_by_it_is_found_and_replayed_with_power_cuts_and_without() -> None:
    network = Network(INPUTS, ROWS, ())
    for power_cut in (False, True):
        part = model(network, 10, power_cut=power_cut)
        found, _ = bounded.search(part, part.values["bad"], 8, Budget(5_000_000))
        assert found is not None
        run = expand(found.steps, 10)
        assert not run.cuts
        seen = replay(network, run, "bad")
        assert seen is not None
        stored = from_json(steps_json(seen.run))
        assert replay(network, stored, "bad") is not None
