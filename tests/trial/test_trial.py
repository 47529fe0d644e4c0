"""What is done by hand counts like a scenario, and a moment before is the same moment again."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve

from steadfall.plan.model import Plan, Scenario, Step
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.result import Settings
from steadfall.predict.run import predict
from steadfall.source import AskError
from steadfall.trial.act import press_ms, steps
from steadfall.trial.trial import Trial
from tests.examples import EXAMPLES, ROOT

QUICK = Settings(8, 100, 5, None, 1000)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return read_file(ROOT / "tests/plans/good/small.yaml")


@pytest.fixture(scope="module")
def roll() -> Plan:
    return read_file(EXAMPLES["roll"])


def changes(trial: Trial, name: str) -> list[tuple[int, int]]:
    place = trial.signals.index(name)
    return [(ms, value) for ms, of, value in trial.log.changes if of == place]


def test_what_was_done_gives_as_a_scenario_the_same_run_to_the_last_bit(plan: Plan) -> None:
    call = next(one.name for one in plan.inputs.values() if one.measures is None and one.is_digital)
    sensor = next(one for one in plan.inputs.values() if one.measures is not None)
    trial = Trial(plan, QUICK)
    trial.go(9)
    trial.act(call, "on")
    trial.go(300)
    trial.act(sensor.name, f"{sensor.high - 273.15:.2f} degC")
    trial.go(100)
    trial.act(sensor.name, "measured")
    trial.go(100)
    trial.act(call, "off")
    trial.go(100)
    made = tuple(Step(one.time_ms, {one.of: one.value}) for one in trial.acts)
    scenario = Scenario("by hand", made, trial.now_ms, trial.now_ms)
    told = predict(evolve(plan, scenarios={"by hand": scenario}), "by hand", QUICK)
    assert told.end_ms == trial.now_ms
    for name in trial.signals:
        assert changes(trial, name) == told.trace.changes(name), name
    last = {name: float(told.trace.tracks[name].values[-1]) for name in trial.curves}
    assert dict(zip(trial.curves, trial.values(), strict=True)) == last


def test_back_at_a_moment_before_all_is_as_it_was_then(plan: Plan) -> None:
    call = next(one.name for one in plan.inputs.values() if one.measures is None and one.is_digital)
    trial, straight = Trial(plan, QUICK), Trial(plan, QUICK)
    for one in (trial, straight):
        one.go(20)
        one.act(call, "on")
        one.go(230)
    moment = straight.now_ms
    trial.act(call, "off")
    trial.go(250)
    trial.back(moment)
    assert trial.now_ms == moment
    assert trial.acts == straight.acts
    assert trial.values() == straight.values()
    for one in (trial, straight):
        one.go(150)
    assert trial.values() == straight.values()
    assert trial.log.changes == straight.log.changes
    assert trial.log.samples == straight.log.samples
    mine, other = trial.inputs(), straight.inputs()
    np.testing.assert_array_equal(mine.times_ms, other.times_ms)
    assert {name: row.pairs() for name, row in mine.inputs.items()} == {
        name: row.pairs() for name, row in other.inputs.items()
    }


def test_a_button_springs_back_once_the_controller_has_seen_it(roll: Plan) -> None:
    trial = Trial(roll, QUICK)
    trial.go(3)
    pressed_at = trial.now_ms
    trial.press("start_button")
    trial.release("start_button")
    trial.go(20)
    end = pressed_at + press_ms(roll.scan.longest_ms)
    on = [(ms, value) for ms, value in changes(trial, "start_button") if ms]
    assert on == [(pressed_at, 1), (-(-end // 100) * 100, 0)]
    found = list(steps(trial.acts, roll.inputs.values(), roll.scan.longest_ms))
    assert found == [(pressed_at, "start_button", "pressed")]
    trial.press("start_button")
    trial.go(2)
    held = trial.now_ms
    trial.go(20)
    assert changes(trial, "start_button")[-1][1] == 1  # a finger stays on it
    trial.back(held)
    trial.go(20)
    assert changes(trial, "start_button")[-1][1] == 0  # none is on it any more


@pytest.mark.parametrize("said", ["maybe", "1", "on ", "900 degC", "50 barg", "nan degC"])
def test_what_an_input_cannot_be_is_refused(plan: Plan, said: str) -> None:
    trial = Trial(plan, QUICK)
    for item in plan.inputs.values():
        with pytest.raises(AskError, match="cannot be"):
            trial.act(item.name, said)
    assert trial.acts == ()


def test_only_a_button_is_pressed(plan: Plan) -> None:
    trial = Trial(plan, QUICK)
    with pytest.raises(AskError, match="is no button"):
        trial.press(next(iter(plan.inputs)))
    with pytest.raises(AskError, match="there is no input"):
        trial.act("none", "on")


def test_the_logic_alone_can_be_tried() -> None:
    plan = read_file(ROOT / "tests/plans/good/logic_alone.yaml")
    trial = Trial(plan)
    switch = next(one.name for one in plan.inputs.values() if one.is_digital and one.kind == "switch")
    trial.act(switch, "on")
    trial.go(100)
    assert trial.curves == ()
    assert changes(trial, switch)[-1][1] == 1


def test_a_setting_is_changed_on_the_panel_and_kept_over_a_power_cut() -> None:
    plan = read_file(ROOT / "tests/plans/good/settings.yaml")
    trial = Trial(plan, QUICK)
    trial.go(300)  # after power-up the finish; a time is taken over once every circuit is idle
    trial.act("first_dose", "1.2 s")
    trial.act("full_call", "on")
    trial.go(60)
    doses = [(ms, to) for ms, to in changes(trial, "upper.mist") if ms]
    assert [to for _, to in doses[:2]] == [1, 0]
    assert doses[1][0] - doses[0][0] == 1200
    trial.act("power", "lost")
    trial.go(50)
    trial.act("power", "back")
    trial.go(10)
    assert trial.shown()["first_dose"] == 1.2
    seen = trial.inputs()
    assert seen.begin_ms == trial.cuts()[0][1]
    assert seen.inputs["first_dose"].values.tolist() == [1200]
    with pytest.raises(AskError, match=r"adjustable from 0.4 to 1.6 s"):
        trial.act("first_dose", "2 s")


def test_without_power_every_valve_rests_and_before_and_after_can_be_asked(plan: Plan) -> None:
    trial, straight = Trial(plan, QUICK), Trial(plan, QUICK)
    for one in (trial, straight):
        one.act("full_call", "on")
        one.go(300)
    gone = trial.now_ms
    assert changes(trial, "upper.sweep")[-1][1] == 1
    trial.act("power", "lost")
    trial.go(20)
    assert changes(trial, "upper.sweep")[-1] == (gone, 0)
    with pytest.raises(AskError, match="no power"):
        trial.inputs(gone + 500)
    assert trial.inputs(gone - 1000).end_ms == gone - 100
    trial.act("power", "back")
    trial.go(20)
    assert trial.cuts() == ((gone, gone + 2000),)
    assert changes(trial, "upper.sweep")[-1] == (gone + 2000, 1)  # it begins with the finish
    with pytest.raises(AskError, match="is 'lost' or 'back'"):
        trial.act("power", "off")
    trial.back(gone)
    for one in (trial, straight):
        one.go(20)
    assert trial.log.changes == straight.log.changes  # as if it had not been


@pytest.mark.parametrize("name", ["sensor lost", "air fails", "much goes wrong"])
def test_a_trial_of_a_scenario_does_what_is_predicted_of_it(name: str) -> None:
    plan = read_file(ROOT / "tests/plans/good/scenarios.yaml")
    trial, told = Trial(plan, QUICK, plan.scenarios[name]), predict(plan, name, QUICK)
    trial.go(told.end_ms // QUICK.scan_ms - 1)
    for signal in trial.signals:
        mine, its = changes(trial, signal), told.trace.changes(signal)
        assert [one for one in mine if one[0] > QUICK.scan_ms] == [
            one for one in its if one[0] > QUICK.scan_ms
        ]


def _later(found: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Without the first two scans: one of them has not seen what a scenario begins with."""
    return [(ms, to) for ms, to in found if ms > QUICK.scan_ms]
