"""A plant that is stepped from outside is the plant of a prediction, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest

from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.result import Settings
from steadfall.predict.run import predict
from steadfall.predict.stepper import Stepper
from steadfall.scan.interpreter import Scanner
from steadfall.source import AskError
from tests.examples import ROOT

QUICK = Settings(8, 100, 5, None, 1000)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return read_file(ROOT / "tests/plans/good/small.yaml")


def test_stepped_with_the_plans_logic_it_is_the_prediction_to_the_last_bit(plan: Plan) -> None:
    stepper, logic = Stepper(plan, settings=QUICK), Scanner(build(plan))
    kept = stepper.run.tape.signals
    last_ms = 0
    while not stepper.over:
        shown = logic.scan(last_ms, stepper.sense())
        last_ms = QUICK.scan_ms
        stepper.step({name: shown[name] for name in kept if name not in plan.inputs}, last_ms)
    one, two = predict(plan, settings=QUICK), stepper.predicted()
    assert (one.end_ms, one.goals, one.limits, one.moments) == (
        two.end_ms,
        two.goals,
        two.limits,
        two.moments,
    )
    assert one.circuits == two.circuits
    for name, track in one.trace.tracks.items():
        np.testing.assert_array_equal(track.values, two.trace.tracks[name].values, name)
        np.testing.assert_array_equal(track.times_ms, two.trace.tracks[name].times_ms, name)


def test_what_a_person_sets_is_shown_at_the_next_scan(plan: Plan) -> None:
    stepper = Stepper(plan, settings=QUICK)
    name = next(one.name for one in plan.inputs.values() if one.measures is None and one.is_digital)
    before = stepper.sense()[name]
    stepper.step({}, 100)
    stepper.give(name, float(not before))
    assert stepper.sense()[name] is not before
    sensor = next(one.name for one in plan.inputs.values() if one.measures is not None)
    with pytest.raises(AskError, match="measures the plant"):
        stepper.give(sensor, 0.0)


def test_a_sensor_that_goes_wrong_shows_it_and_the_plant_does_not_mind(plan: Plan) -> None:
    stepper = Stepper(plan, settings=QUICK)
    sensor = next(one for one in plan.inputs.values() if one.measures is not None and not one.is_digital)
    stepper.let(Upset(200, sensor.name, Wrong.SHOWS, sensor.high))
    shown = []
    for _ in range(4):
        shown.append(stepper.sense()[sensor.name])
        stepper.step({}, 100)
    assert shown[0] == pytest.approx(shown[1]) != shown[2] == shown[3]


def test_a_step_longer_than_any_scan_is_cut_so_that_the_plant_keeps_its_grain(plan: Plan) -> None:
    fine, coarse = Stepper(plan), Stepper(plan)
    for _ in range(10):
        fine.sense()
        fine.step({}, 20)
    coarse.sense()
    coarse.step({}, 200)
    assert fine.now_ms == coarse.now_ms == 200
    assert fine.values == coarse.values


def test_power_is_not_for_the_plant_to_say(plan: Plan) -> None:
    stepper = Stepper(plan, settings=QUICK)
    stepper.let(Upset(0, "", Wrong.POWER_BACK))
    with pytest.raises(AskError, match="power"):
        stepper.sense()
