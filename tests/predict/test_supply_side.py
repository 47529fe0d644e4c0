"""What happens when a supply fails: every circuit behind it feels it, and the controller begins anew."""

import numpy as np
import pytest

from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from tests.plan.paths import GOOD

PLAN = read_file(next(path for path in GOOD if path.stem == "supply_side"))


@pytest.fixture(scope="module")
def failing() -> Prediction:
    return predict(PLAN, "supply fails", coarse(PLAN))


def water(of: Prediction, begin: float, end: float) -> float:
    """Kg let in between two moments."""
    times, values = of.arrays("pot_jacket.water_used")
    return float(np.interp(end, times, values) - np.interp(begin, times, values))


def at(of: Prediction, name: str, when: float) -> float:
    times, values = of.arrays(name)
    return float(values[np.searchsorted(times, when, side="right") - 1])


def test_the_circuit_waits_until_its_supply_is_there(failing: Prediction) -> None:
    begins = [(m.time_ms, m.stage) for m in failing.moments][:2]
    assert begins == [(0, "blow_out"), (4100, "drops")]  # called in the second scan, and a lead of 4 s
    assert at(failing, "water_main.position", 3.5) == 1.0


def test_a_main_valve_that_is_stuck_shut_leaves_no_water(failing: Prediction) -> None:
    assert water(failing, 30, 60) > 0.2
    assert water(failing, 63, 90) == 0.0
    assert at(failing, "water_main.position", 80) == 0.0


def test_a_pump_that_stands_still_leaves_less(failing: Prediction) -> None:
    """1 barg in place of 3, of which the air in the circuit takes most."""
    assert water(failing, 95, 119) < 0.5 * water(failing, 30, 54)


def test_the_pressure_of_a_supply_is_seen_behind_its_pump(failing: Prediction) -> None:
    full, without = PLAN.supplies["town_water"].pressure, PLAN.pumps["booster"].pressure_without
    seen = [at(failing, "town_water.pressure", when) for when in (50.0, 115.0)]
    assert seen == pytest.approx([full, without])
    assert at(failing, "plant_air.pressure", 115.0) == PLAN.supplies["plant_air"].pressure


def test_the_books_close_whatever_fails(failing: Prediction) -> None:
    assert all(abs(error) < 1e-9 for error in failing.balance.values())


def test_without_power_a_valve_stands_where_its_spring_puts_it_or_stays(failing: Prediction) -> None:
    names = ("drain", "way_out", "drip", "blow")
    assert [at(failing, f"pot_jacket.{name}.position", 165) for name in names] == [1.0, 1.0, 0.0, 0.0]
    assert at(failing, "air_main.position", 165) == 0.0
    assert 0.0 < at(failing, "water_main.position", 155) < 1.0  # slow, and on its way
    assert at(failing, "pot_jacket.way_out.position", 169) == 1.0
    assert at(failing, "pot_jacket.way_out.position", 220) == 0.0  # moved by its motor again
    stages = [(m.time_ms, m.stage) for m in failing.moments if m.time_ms >= 150_000]
    assert stages[:2] == [(150_000, "idle"), (170_000, "blow_out")]
    assert "drops" not in [stage for _, stage in stages]  # the call stands, and must be made anew


def test_a_main_valve_that_does_not_move_disagrees_with_its_limit_switch(failing: Prediction) -> None:
    """Stuck shut from 60 s to 90 s, allowed 4 s; with both together again it agrees."""
    changes = list(failing.trace.changes("water_main.disagrees"))
    on = [when for when, value in changes if value]
    assert 64_000 <= on[0] <= 67_000  # 4 s after it has left its open end
    assert any(90_000 < when < 93_000 for when, value in changes if not value)
