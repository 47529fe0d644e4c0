"""Scenarios that set a sensor or a supply: what the controller is shown, and what the plant is given."""

import numpy as np
import pytest

from steadfall.plan.read.whole import read_text
from steadfall.predict.result import Prediction
from steadfall.predict.run import coarse, predict
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8")
PLAN = read_text(TEXT)


@pytest.fixture(scope="module")
def lost() -> Prediction:
    return predict(PLAN, "sensor lost", coarse(PLAN))


@pytest.fixture(scope="module")
def failing() -> Prediction:
    return predict(PLAN, "air fails", coarse(PLAN))


def at(result: Prediction, signal: str, seconds: float) -> float:
    times, values = result.arrays(signal)
    return float(np.interp(seconds, times, values))


def stage_at(result: Prediction, circuit: str, seconds: float) -> str:
    return [m.stage for m in result.moments if m.circuit == circuit and m.time_ms <= seconds * 1000][-1]


def test_a_sensor_shows_what_it_is_given(lost: Prediction) -> None:
    """Stuck at 140 degC it holds the climb, with a broken wire it lets a hot circuit climb."""
    assert stage_at(lost, "upper", 49.5) == "dosing"
    assert stage_at(lost, "upper", 50.5) == "full"


def test_the_prediction_says_so(lost: Prediction, failing: Prediction) -> None:
    told = [note.sentence for note in (*lost.notes, *failing.notes)]
    assert "from 0:55 the scenario has 'upper.pressure' show 8 barg, whatever the plant does" in told
    assert "from 1:00 'upper.pressure' shows what it measures again" in told
    assert "from 0:20 the scenario gives 'works_air' a pressure of 0.1 barg" in told


def test_a_sensor_measures_again(lost: Prediction) -> None:
    """Shown 8 barg it trips; once it measures again, the reset holds."""
    times, values = lost.arrays("tripped")
    assert times[values].tolist() == pytest.approx([55.2], abs=0.2)
    assert times[~values].tolist() == pytest.approx([0.0, 60.0], abs=0.2)


def test_air_that_fails_blows_no_more(failing: Prediction) -> None:
    flow = {when: at(failing, "upper.air_flow", when) for when in (19.0, 29.0, 39.0)}
    assert flow[29.0] < 0.3 * flow[19.0]
    assert flow[39.0] > 0.8 * flow[19.0]


def test_the_books_close_whatever_a_supply_does(failing: Prediction) -> None:
    assert all(abs(error) < 1e-9 for error in failing.balance.values())


def test_a_run_leaves_the_plan_as_it_was(failing: Prediction) -> None:
    again = predict(PLAN, "air fails", coarse(PLAN))
    assert np.array_equal(again.arrays("upper.air_flow")[1], failing.arrays("upper.air_flow")[1])
