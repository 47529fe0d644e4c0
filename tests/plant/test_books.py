"""The books close and temperatures stay between their sources on plants of any kind."""

from __future__ import annotations

import numpy as np
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.plan.model import Plan, Relief, Supply
from steadfall.plant import fields as f
from tests.plant import plants
from tests.plant.running import Run


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers spread evenly over orders of magnitude."""
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


@st.composite
def any_plant(draw: st.DrawFn) -> Plan:
    valves = (
        plants.valve("small", "water", draw(between(0.03, 3)), draw(st.sampled_from([0.0, 0.06, 2.0]))),
        plants.valve("main", "water", draw(between(0.3, 30)), draw(st.sampled_from([0.0, 0.5, 3.0]))),
        plants.valve("air", "air", draw(between(0.05, 10))),
        plants.valve("drain", None, draw(between(0.3, 20))),
    )
    kind = {
        "bore": draw(between(0.004, 0.08)),
        "length": draw(st.floats(2, 60)),
        "passes": draw(st.integers(1, 8)),
        "wall": draw(st.floats(0.001, 0.02)),
        "host": draw(between(100, 50e3)),
        "outlet": draw(between(0.05, 60)),
        "back": draw(st.sampled_from([1.01325e5, 3e5])),
        "relief": draw(st.sampled_from([None, Relief(6e5, 5e-4)])),
        "valves": valves,
    }
    start, mass = draw(st.floats(353, 723)), draw(between(1, 50e3))
    plan: Plan = draw(st.sampled_from([plants.platen, plants.oven]))(start, mass, **kind)
    supplies = {
        "water": Supply("water", "water", draw(st.floats(1.5e5, 17e5)), draw(st.floats(275, 360))),
        "air": Supply("air", "air", draw(st.floats(1.5e5, 17e5)), draw(st.floats(275, 320))),
    }
    evolved: Plan = evolve(plan, supplies=supplies)
    return evolved


phases = st.lists(
    st.tuples(st.floats(0.1, 5), st.sets(st.sampled_from(["small", "main", "air", "drain"]))), min_size=5, max_size=30
)


@settings(max_examples=60, deadline=None)
@given(any_plant(), phases, st.sampled_from([5, 20, 40]), st.sampled_from([0.005, 0.02, 0.1]))
def test_books_close_on_any_plant(plan: Plan, sequence: list[tuple[float, set[str]]], cells: int, dt: float) -> None:
    run = Run(plan, cells, dt)
    hot = max(run.grid.constants.start.max(), plan.ambient)
    cold = min(plan.ambient, *(supply.temperature for supply in plan.supplies.values()))
    for seconds, valves in sequence:
        run.go(seconds, *valves)
        assert run.state.stop[0] != f.NOT_FINITE
        assert np.isfinite(run.state.cells).all()
        assert run.state.cells[:, :, [f.ML, f.MA, f.MV]].min() >= 0
        assert cold - 0.01 < run.state.nodes.min()
        assert run.state.nodes.max() < hot + 0.5
        walls = run.state.cells[:, :, f.W0 :]
        assert cold - 10 < walls.min()  # gas that expands or is compressed may be colder or hotter than any source
        assert walls.max() < hot + 10
        errors = run.books().errors
        assert max(errors.values()) < 1e-5, errors  # of the heat moved, which may be a few joules
