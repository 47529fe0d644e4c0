"""Any plausible plant: no value that is not a number, no negative mass, closed books, temperatures between
the sources.

From 1 kg to 50 t, 80 to 450 degC, bores of 4 to 80 mm, Kv 0.05 to 60, supplies of 0.5 to 16 barg, 1 to 8
circuits on solid bodies and in gas streams, with everything that a plan can say of them. `python -m
benchmarks.plausible 2000` runs as many cases as one likes and prints what they came to.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from steadfall.plan.model import Body, GasStream
from steadfall.plan.read.whole import read_text
from steadfall.plant import fields as f
from steadfall.plant.grid.notes import SENTENCES, STOPS
from steadfall.plant.kernel.circuit import HOT_WALL, STOP_PRESSURE
from steadfall.predict.outcome.result import Settings
from steadfall.predict.run import predict
from steadfall.quantities import CORE_LESS_SURFACE, SPREAD
from tests.plant.any_plant import SCENARIO, Case, Told, cases, told_plans
from tests.plant.findings import explore, faults

MANY = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def is_sound(case: Case) -> None:
    found = explore(case)
    assert not faults(found), faults(found)


def predicts_soundly(told: Told) -> None:
    """A whole plan through its text: read, checked, run by its own logic, gathered."""
    plan = read_text(told.text)
    result = predict(plan, SCENARIO, Settings(told.cells, told.step_ms))
    assert result.books_close
    assert max(result.balance.values()) < 1e-5
    said = " ".join(note.sentence for note in result.notes)
    if any(use.peak_pressure > STOP_PRESSURE for use in result.circuits):
        assert not result.complete
        assert STOPS[f.TOO_HIGH] in said
    hottest = max(float(result.arrays(f"{name}.wall.hottest")[1].max()) for name in plan.circuits)
    if hottest > HOT_WALL + 1.0:
        assert SENTENCES[f.WALL_HOT] in said
    things: list[Body | GasStream] = [*plan.bodies.values(), *plan.gas_streams.values()]
    sources = [
        plan.ambient,
        *(one.temperature for one in plan.supplies.values()),
        *(one.start for one in things),
    ]
    heated = any(one.heating is not None for one in things)
    for one in things:
        values = result.arrays(one.name)[1]
        assert min(sources) - 0.01 < values.min()
        assert heated or values.max() < max(sources) + 0.01
        for name in _across(one):
            apart = result.arrays(name)[1]
            assert heated or np.abs(apart).max() < max(sources) - min(sources) + 0.01


def _across(thing: Body | GasStream) -> list[str]:
    """What a body is called by, core less surface and hottest less coldest, where it has them."""
    if not isinstance(thing, Body):
        return []
    if thing.parts == 1:
        return [] if thing.inner is None else [CORE_LESS_SURFACE.named(thing.name)]
    return [SPREAD.named(thing.name)]


@settings(max_examples=60, suppress_health_check=MANY)
@given(cases())
def test_any_plant_is_sound(case: Case) -> None:
    is_sound(case)


@pytest.mark.slow
@settings(max_examples=30, suppress_health_check=MANY)
@given(cases())
def test_many_more_plants_are_sound(case: Case) -> None:
    is_sound(case)


@pytest.mark.slow
@settings(max_examples=40, suppress_health_check=MANY)
@given(told_plans())
def test_any_plan_predicts_soundly(told: Told) -> None:
    predicts_soundly(told)
