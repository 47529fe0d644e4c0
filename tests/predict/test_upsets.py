"""Scenarios that set a sensor or a supply: what the controller is shown, and what the plant is given."""

import numpy as np
import pytest

from steadfall.constants import ATMOSPHERE
from steadfall.logic.build.whole import build
from steadfall.plan.model.upset import Sort, Upset, Wrong
from steadfall.plan.read.whole import read_text
from steadfall.plant import fields as f
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.inputs.scenario import BOUNCES, course
from steadfall.predict.inputs.told import _TOLD
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import PlantRun, coarse, predict
from steadfall.predict.upsets import _ACTS, SIZES, Rig, happen
from steadfall.scan.program import compile_network
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


def test_a_switch_sees_the_pressure_of_a_supply() -> None:
    """A pressure switch in the header: a prediction shows what the sequence does without air."""
    seen = "air_seen: {kind: switch, measures: works_air.pressure above 2 barg, hysteresis: 0.3 bar}"
    plan = read_text(TEXT.replace("inputs:\n", f"inputs:\n  {seen}\n", 1))
    found = predict(plan, "air fails", coarse(plan))
    shown = found.trace.tracks["air_seen"]
    assert [bool(shown.at(ms)) for ms in (19_000, 21_000, 29_000, 31_000)] == [True, False, False, True]
    assert at(found, "works_air.pressure", 25.0) == pytest.approx(ATMOSPHERE + 1e4)


def stage_at(result: Prediction, circuit: str, seconds: float) -> str:
    return [m.stage for m in result.moments if m.circuit == circuit and m.time_ms <= seconds * 1000][-1]


def test_a_sensor_shows_what_it_is_given(lost: Prediction) -> None:
    """Stuck at 140 degC it holds the climb, and with a broken wire, though that reads low, it does so too."""
    assert stage_at(lost, "upper", 49.5) == "dosing"
    assert stage_at(lost, "upper", 50.5) == "dosing"


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


@pytest.fixture(scope="module")
def much() -> Prediction:
    return predict(PLAN, "much goes wrong", coarse(PLAN))


def test_a_valve_that_is_stuck_open_stands_so_whatever_its_command(much: Prediction) -> None:
    """Commanded for 0.8 s in 3.2 s it stands open all the time, until it works again."""
    commanded = much.arrays("upper.mist")
    shut = [float(t) for t, on in zip(*commanded, strict=True) if not on and 5.5 < t < 9.5]
    assert shut  # it was told to shut meanwhile
    assert min(at(much, "upper.mist.position", t) for t in (6.0, 7.0, 8.0, 9.0)) == 1.0
    times, values = much.arrays("upper.mist.position")
    assert values[(times > 10.5) & (times < 20.0)].min() == 0.0


def test_a_leaking_valve_shuts_no_further_than_its_leak(much: Prediction) -> None:
    assert at(much, "lower.sweep.position", 38.0) >= SIZES.leak


def test_half_an_outlet_raises_the_pressure_and_clears(much: Prediction) -> None:
    """Air alone: behind half the Kv stands more of its pressure."""
    times, values = much.arrays("lower.pressure")
    halved, clear = values[(times > 7) & (times < 10)], values[(times > 12) & (times < 20)]
    assert np.median(halved) > np.median(clear) + 1e4


def test_a_loose_contact_is_seen_off_and_on(much: Prediction) -> None:
    times, values = much.arrays("full_call")
    assert len(values[(times >= 10.0) & (times <= 16.5)]) == BOUNCES
    assert values[-1]  # as it was set


def test_without_power_nothing_is_commanded_and_the_call_must_be_made_anew(much: Prediction) -> None:
    times, values = much.arrays("upper.sweep")
    assert not values[(times >= 20.0) & (times < 30.0)].any()
    assert [(m.time_ms, m.stage) for m in much.moments if m.circuit == "upper" and m.time_ms >= 20_000] == [
        (20_000, "idle"),
        (30_000, "blow_out"),
    ]


def test_every_thing_that_goes_wrong_has_an_act_and_a_sentence() -> None:
    acts = {wrong for wrong in Wrong if wrong.sort is not Sort.POWER and wrong is not Wrong.BOUNCES}
    assert set(_ACTS) == acts
    assert set(_TOLD) == set(Wrong)


def test_scale_insulates_and_narrows_the_bore() -> None:
    """1 mm of 2 W/m/K on a bore of 12 mm, and the friction of 10 mm: (12/10)^5."""
    grid = lay_out(PLAN, 8, 0.1)
    network = build(PLAN)
    run = PlantRun(
        PLAN, course(PLAN, "much goes wrong"), coarse(PLAN), network, compile_network(network), grid
    )
    before = run.grid.constants.circuit[0].copy()
    happen(Rig(PLAN, run.grid, run.wiring, run.registers, run.state), Upset(0, "upper", Wrong.SCALED))
    after = run.grid.constants.circuit[0]
    assert after[f.K_PIPE] / before[f.K_PIPE] == pytest.approx((12 / 10) ** 5)
    added = (after[f.R_SKIN] - before[f.R_SKIN]) * before[f.CELL_WALL]
    assert added == pytest.approx(1e-3 / 2.0)
    assert grid.constants.circuit[0, f.R_SKIN] == before[f.R_SKIN]  # the plan's own is as it was
