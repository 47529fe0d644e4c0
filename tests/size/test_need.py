"""What goals ask, against sums by hand."""

from __future__ import annotations

import math

import pytest
from attrs import evolve

from steadfall.plan.model import Dose, Plan, Pulses
from steadfall.plan.model.equipment import Heating
from steadfall.plant.law.properties import C_L
from steadfall.size.need import duty, need

GOAL = 343.15  # K, of the splice


def test_all_that_is_linked_to_the_host_counts_and_is_shared(press: Plan) -> None:
    stored = sum(body.mass * body.heat_capacity * (body.start - GOAL) for body in press.bodies.values())
    found = need(press, "upper")
    assert found is not None
    assert found.heat == pytest.approx(stored / 2 / 2400.0)
    assert found.water(287.15) == pytest.approx(found.heat / (C_L * 56.0))


def test_without_its_links_a_platen_is_alone(press: Plan) -> None:
    """Then no goal is on what it cools."""
    assert need(evolve(press, links=()), "upper") is None


def test_water_that_is_no_colder_never_is_enough(press: Plan) -> None:
    found = need(press, "upper")
    assert found is not None
    assert math.isinf(found.water(GOAL))


def test_heating_that_dies_away_gives_power_times_its_time(press: Plan) -> None:
    before = need(press, "upper")
    heated = evolve(press.bodies["upper_platen"], heating=Heating(1000.0, time_constant=60.0))
    after = need(evolve(press, bodies={**press.bodies, "upper_platen": heated}), "upper")
    assert before is not None
    assert after is not None
    assert after.heat - before.heat == pytest.approx(1000.0 * 60.0 / 2 / 2400.0)


@pytest.mark.parametrize(
    ("action", "expected"),
    [
        (Dose(3000, 12000, "restart"), 0.2),
        (Dose(3000, 12000, "restart", 60_000, "open"), 1.0),
        (Dose(3000, 12000, "restart", 60_000, "shut"), 0.0),
        (Dose(3000, 12000, "restart", 60_000, Pulses(1000, 1000)), 0.5),
    ],
)
def test_duty_in_the_long_run(action: Dose, expected: float) -> None:
    assert duty(action) == pytest.approx(expected)
