"""A cool-down that the plan ends: a prediction ends where the controller ends it, whatever the metal is."""

import numpy as np
import pytest

from steadfall.plan.read.whole import read_text
from steadfall.predict.inputs.scenario import course
from steadfall.predict.run import coarse, predict
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "done").read_text(encoding="utf-8")
WARM = TEXT.replace("start: 160 degC", "start: 76 degC").replace("below 75 degC", "below 40 degC")


def test_the_default_keeps_its_call() -> None:
    found = course(read_text(TEXT))
    assert (found.release, found.until_ms, found.remarks) == ({}, None, ())


def test_it_ends_with_what_the_controller_sees() -> None:
    """The goal is far; the sensors, held for 30 s, end it, and the call still stands."""
    plan = read_text(WARM)
    found = predict(plan, None, coarse(plan))
    assert found.complete
    assert found.ended == "the controller ended the cool-down and the finish was done"
    assert found.goals[0].reached_ms is None
    times, done = found.arrays("done")
    assert done.tolist() == [False, True]
    assert np.interp(times[1], *found.arrays("upper_platen")) < 273.15 + 70
    assert [m.stage for m in found.moments if m.circuit == "upper"][-2:] == ["blow_out", "idle"]
    assert found.arrays("full_call")[1].tolist() == [True]


@pytest.mark.parametrize("goal", ["", "  - {goal: upper_platen below 70 degC, within: 10 min}\n"])
def test_the_longest_time_there_is(goal: str) -> None:
    text = TEXT.replace("  - {goal: upper_platen below 75 degC, within: 60 min}\n", goal)
    assert course(read_text(text)).longest_ms == (900_000 if goal else 14_400_000)
