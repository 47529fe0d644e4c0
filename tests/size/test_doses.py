"""Stages by hand, against limiting cases and against the coarse prediction."""

from __future__ import annotations

import math

import pytest

from steadfall.plan.model import Plan
from steadfall.plant.law.properties import C_L
from steadfall.predict.result import Prediction
from steadfall.size.doses import ByHand, by_hand, carried
from steadfall.size.works import works

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


def test_a_dose_of_the_press(press: Plan, hand: dict[str, ByHand]) -> None:
    """0.4 s of 8.24 kg/min every 4 s; 156 kg of wall behind 2.9 kW/K have a time constant of 26 s."""
    dose = hand["first_doses"].dose
    assert dose is not None
    assert dose.mass == pytest.approx(0.4 * 8.24 / 60, rel=1e-3)
    assert dose.period == pytest.approx(4.0)
    wall = math.pi * (0.015**2 - 0.007**2) * 36.0 * press.materials["carbon steel"].density
    capacity = wall * press.materials["carbon steel"].heat_capacity
    assert dose.back == pytest.approx(1.0 - math.exp(-3.6 * 2900.0 / capacity))
    assert dose.dip == pytest.approx(hand["first_doses"].most * 4.0 / capacity)
    assert dose.clears == pytest.approx(dose.mass / hand["first_doses"].passes)
    below_boiling = hand["flood_doses"].dose
    assert below_boiling is not None
    assert below_boiling.clears is None
