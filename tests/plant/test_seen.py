"""Every quantity has its place in the plant's arrays, and is seen under its own name."""

from __future__ import annotations

import numpy as np
import pytest

from steadfall.plan.meaning.names import quantities
from steadfall.plan.read.whole import read_file
from steadfall.plant import fields as f
from steadfall.plant.grid.seen import SEEN
from steadfall.plant.grid.whole import lay_out
from steadfall.plant.kernel.observe import observe
from steadfall.quantities import QUANTITIES
from tests.plan.paths import ROOT


def test_every_quantity_has_a_row_and_a_name_of_its_own() -> None:
    assert set(SEEN) == set(QUANTITIES)
    assert len({(one.of, one.end) for one in QUANTITIES}) == len(QUANTITIES)


def test_what_is_seen_stands_under_its_name() -> None:
    """In a state of numbers that are all different; the mean of a body is by the heat capacity of its
    shells.
    """
    plan = read_file(ROOT / "tests" / "plans" / "good" / "pressure_vessel.yaml")
    grid = lay_out(plan, cells=4)
    state, constants = grid.fresh(), grid.constants
    chance = np.random.default_rng(7)
    for array in (state.nodes, state.after_coil, state.circuit, state.books):
        array[:] = chance.uniform(300.0, 500.0, array.shape)
    state.position[:] = [0.0, 0.5, 1.0, 0.01, 0.99, 0.3]
    out = np.zeros(len(grid.observed))
    observe(constants, state, out)
    told = dict(zip(grid.observed, out, strict=True))
    assert list(told) == list(quantities(plan))

    load = [node for node, heat in enumerate(constants.capacity) if heat > 0][2:8]
    heat = constants.capacity[load]
    assert told["load"] == pytest.approx(np.average(state.nodes[load], weights=heat))
    assert told["load.core"] == state.nodes[load[-1]]
    assert told["load.difference"] == told["load.core"] - told["load.surface"]
    assert told["load.surface"] != told["load.core"]
    assert told["upper_platen"] == told["upper_platen.core"] == told["upper_platen.surface"]
    assert told["vessel_gas"] == state.nodes[constants.stream_node[0]]
    assert told["vessel_gas.after_coil"] == state.after_coil[0]
    gas = plan.gas_streams["vessel_gas"]
    density = gas.pressure / (296.8 * told["vessel_gas"])  # nitrogen: 8.314 J/mol/K over 28.01 g/mol
    assert told["vessel_gas.flow"] == pytest.approx(gas.fan_flow * density, rel=1e-4)
    for c, name in enumerate(plan.circuits):
        assert told[f"{name}.pressure"] == state.circuit[c, f.P]
        assert told[f"{name}.wall.hottest"] == state.circuit[c, f.HOTTEST]
        assert told[f"{name}.heat"] == state.circuit[c, f.HEAT]
        assert told[f"{name}.water_used"] == state.books[c, f.WATER_IN]
        assert told[f"{name}.wall_stress"] == told[f"{name}.wall_shock"] * constants.circuit[c, f.STRESS]
    assert [told[f"{name}.pressure"] for name in plan.supplies] == constants.supply.tolist()
    valves = [(told[f"{v}.position"], told[f"{v}.is_open"], told[f"{v}.is_shut"]) for v in grid.valves]
    assert valves == [(p, float(p >= 0.98), float(p <= 0.02)) for p in (0.0, 0.5, 1.0, 0.01, 0.99, 0.3)]
