"""Conditions read aloud."""

from __future__ import annotations

import pytest

from steadfall.plan.meaning import aloud as module
from steadfall.plan.meaning.aloud import aloud, together
from steadfall.plan.model.condition import Condition
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.phrase import read_phrase
from steadfall.plan.text.tree import Scalar
from steadfall.source import NOWHERE
from tests.plan.paths import GOOD

PLAN = read_text(
    next(path for path in GOOD if path.stem == "feedback_and_faults").read_text(encoding="utf-8")
)

SAID = {
    "upper.mist and not upper.sweep": "upper.mist is open and upper.sweep is shut",
    "full_call or not full_call": "full_call is on or full_call is off",
    "not (upper.mist or tripped)": "upper.mist is shut and nothing has tripped",
    "not (permitted and upper is dosing)": "a permissive does not hold or upper is not in dosing",
    "upper is idle or upper is finishing": "upper is idle or upper is finishing",
    "after 45 s and outlet_temperature < 140 degC": (
        "45 s have passed in the stage and upper.outlet_temperature is below 140 degC"
    ),
    "not (upper.pressure <= 7 barg)": "upper.pressure is above 7 barg",
    "not upper.pressure < 7 barg with hysteresis 0.2 bar": (
        "upper.pressure is at least 7 barg with hysteresis 0.2 bar"
    ),
    "full_call goes on": "full_call goes on",
    "not full_call goes off": "full_call does not go off",
    "upper.pressure out of range for 2 s": "upper.pressure is out of range for 2 s",
    "full_call and permitted for 2 s": "full_call is on and every permissive holds, for 2 s",
    "upper.stage_time >= 45 s": "upper has been in its stage for at least 45 s",
    "not upper.mist.held_time > 0.5 s": "upper.mist has been as it is for at most 500 ms",
    "upper.flood.disagrees": "the limit switch of upper.flood disagrees with its command",
    (
        "full_call and (upper.mist or tripped)"
    ): "full_call is on and (upper.mist is open or something has tripped)",
}


@pytest.mark.parametrize("text", SAID)
def test_said(text: str) -> None:
    assert aloud(read_phrase(Scalar(text, NOWHERE)), PLAN, "upper") == SAID[text]


def test_every_condition_has_words() -> None:
    assert set(module._WORDS) == set(Condition.__args__)


def test_lists() -> None:
    assert [together("abc"), together("ab"), together("a")] == ["a, b and c", "a and b", "a"]
