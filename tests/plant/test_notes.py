"""The prediction says where it used a correlation outside its range."""

from __future__ import annotations

from attrs import evolve

from steadfall.plan.model import Supply
from steadfall.plant.grid.notes import noticed
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run

STRAIGHT = "straight line"
SUBCOOLED = "more than 50 K below"
SLOW_GAS = "gas ran at a Reynolds number"


def says(run: Run, words: str) -> bool:
    return any(words in one.text for one in noticed(run.grid, run.state))


def quenched(metal: float, water: float) -> Run:
    """A dose of 2 s; temperatures in degC."""
    base = plants.platen(metal + K0)
    supply = Supply("water", "water", 5e5, water + K0)
    return Run(evolve(base, supplies={**base.supplies, "water": supply})).go(2, "small").go(2)


def test_transition_boiling_is_noted() -> None:
    assert says(quenched(190.0, 15.0), STRAIGHT)
    assert says(quenched(150.0, 95.0), STRAIGHT)
    assert not says(quenched(105.0, 95.0), STRAIGHT)
    assert not says(quenched(80.0, 15.0), STRAIGHT)


def test_water_colder_than_the_data_of_subcooled_boiling_is_noted() -> None:
    assert says(quenched(190.0, 15.0), SUBCOOLED)
    assert not says(quenched(150.0, 95.0), SUBCOOLED)  # it boils, but is nearly at its boiling point
    assert not says(quenched(80.0, 15.0), SUBCOOLED)  # it is cold, but does not boil


def swept(kv: float, seconds: float) -> Run:
    valves = (plants.valve("air", "air", kv),)
    return Run(plants.platen(120 + K0, valves=valves)).go(seconds, "air").go(5)


def test_gas_between_laminar_and_turbulent_is_noted() -> None:
    assert says(swept(0.065, 60.0), SLOW_GAS)  # Reynolds number about 5 000
    assert not says(swept(0.3, 60.0), SLOW_GAS)  # about 23 000, and lower for a moment at its ends
    assert not says(swept(0.01, 60.0), SLOW_GAS)  # about 800
