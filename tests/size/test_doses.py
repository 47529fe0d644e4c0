"""Stages by hand, against limiting cases and against the coarse prediction."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plant import fields
from steadfall.plant.grid.whole import lay_out
from steadfall.plant.law.properties import C_L
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.size.doses import ByHand, by_hand, carried
from steadfall.size.works import works
from tests.examples import EXAMPLES
from tests.plant.running import steps

COLD, BOILING, EACH = 293.15, 373.15, 2.6e6


@pytest.fixture(scope="module")
def hand(press: Plan, batch: Prediction) -> dict[str, ByHand]:
    return {one.stage: one for one in by_hand(works(press, batch))}


def test_much_surface_warms_the_water_to_its_host() -> None:
    least, most = carried(0.1, (COLD, 333.15, BOILING), 1e7, EACH)
    assert least == most == pytest.approx(0.1 * C_L * 40.0)


def test_little_surface_gives_conductance_times_difference() -> None:
    least, _ = carried(10.0, (COLD, 333.15, BOILING), 1.0, EACH)
    assert least == pytest.approx(40.0, rel=1e-3)


def test_above_boiling_the_host_gives_no_more_than_it_can() -> None:
    hot = 423.15
    assert carried(1e-4, (COLD, hot, BOILING), 2900.0, EACH)[1] == pytest.approx(1e-4 * EACH)
    assert carried(1.0, (COLD, hot, BOILING), 1.0e4, EACH)[1] == pytest.approx(50.0 * 1e4)


def test_no_water_carries_nothing() -> None:
    assert carried(0.0, (COLD, 423.15, BOILING), 2900.0, EACH) == (0.0, 0.0)


def test_every_stage_with_water_has_its_sums(press: Plan, hand: dict[str, ByHand]) -> None:
    assert list(hand) == [stage.name for stage in press.circuit_types["platen_circuit"].stages]
    assert hand["soaking"].dose is None
    assert hand["first_doses"].host == pytest.approx(423.15, abs=0.5)
    for one in hand.values():
        assert 0.0 < one.least <= one.most
        assert (one.steam > 0.0) == (one.host > BOILING)


def test_a_prediction_lies_between_the_two_ends_while_metal_is_hot(hand: dict[str, ByHand]) -> None:
    for stage in ("first_doses", "long_doses", "soaking"):
        assert hand[stage].least < hand[stage].predicted < hand[stage].most


def test_a_prediction_is_near_where_nothing_boils_and_the_host_is_heavy(hand: dict[str, ByHand]) -> None:
    """Flood doses, 15 s apart, on 820 kg of steel of 80 degC: the whole sum is an exchanger's."""
    doses = hand["flood_doses"]
    assert doses.most == doses.least
    assert doses.predicted == pytest.approx(doses.most, rel=0.05)


def comes_back(plan: Plan, seconds: float) -> float:
    """Of a dry wall that is 20 K colder than a heavy host: the share that the full model gives back."""
    heavy = {name: evolve(body, mass=1000.0 * body.mass) for name, body in plan.bodies.items()}
    grid = lay_out(evolve(plan, bodies=heavy), 8, 0.1)
    state, wall = grid.fresh(), slice(fields.W0, fields.W0 + fields.SHELLS)
    start = state.cells[0, :, wall].copy()
    state.cells[0, :, wall] -= 20.0
    steps(grid.constants, state, np.zeros(len(grid.valves), np.uint8), 0.1, round(seconds / 0.1))
    part = state.wall[0, fields.W_PART : fields.W_PART + fields.SHELLS]
    return 1.0 - float(((start - state.cells[0, :, wall]) @ part).mean()) / 20.0


def test_a_wall_comes_back_in_a_pause_as_in_the_full_model(press: Plan, hand: dict[str, ByHand]) -> None:
    """Within a tenth: 8 mm of a platen, and a barrel whose plan gives its layer as 3 mm."""
    barrel = read_file(EXAMPLES["barrel"])
    thin = by_hand(works(barrel, predict(barrel, None, coarse(barrel))))[0]
    for plan, dose, shut in ((press, hand["first_doses"].dose, 3.6), (barrel, thin.dose, 3.8)):
        assert dose is not None
        assert dose.back == pytest.approx(comes_back(plan, shut), rel=0.1)


def test_a_wall_falls_in_a_cold_dose_as_in_the_full_model(batch: Prediction, hand: dict[str, ByHand]) -> None:
    """Flood doses below boiling, from the third on: 5 K by hand of the whole wall, more at the bore."""
    dose, bore = hand["flood_doses"].dose, batch.trace.tracks["upper.wall"]
    assert dose is not None
    for begins, ends in batch.trace.openings("upper.flood")[2:5]:
        inside = (bore.times_ms > begins) & (bore.times_ms <= ends + 3000)
        assert bore.low is not None
        assert bore.at(begins) - bore.low[inside].min() == pytest.approx(dose.dip, rel=0.15)


def test_a_dose_of_the_press(press: Plan, hand: dict[str, ByHand]) -> None:
    """0.4 s of 8.24 kg/min every 4 s; 160 kg of wall behind 2.9 kW/K have a time constant of 26 s."""
    dose = hand["first_doses"].dose
    assert dose is not None
    assert dose.mass == pytest.approx(0.4 * 8.24 / 60, rel=1e-3)
    assert dose.period == pytest.approx(4.0)
    steel = press.materials["carbon steel"]
    felt = math.sqrt(steel.conductivity / (steel.density * steel.heat_capacity) * 5.0)  # 8.1 mm in 5 s
    wall = math.pi * ((0.007 + felt) ** 2 - 0.007**2) * 36.0 * steel.density
    capacity = wall * steel.heat_capacity
    assert dose.back == pytest.approx(1.0 - math.exp(-3.6 * 2900.0 / capacity))
    assert dose.dip == pytest.approx(hand["first_doses"].most * 4.0 / capacity)
    assert dose.clears == pytest.approx(dose.mass / hand["first_doses"].passes)
    below_boiling = hand["flood_doses"].dose
    assert below_boiling is not None
    assert below_boiling.clears is None
