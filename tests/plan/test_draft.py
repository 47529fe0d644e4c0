"""A plan that is drafted from a few answers checks clean, keeps what was answered, and marks the rest."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import pytest

from steadfall.app.check import check_text
from steadfall.app.plan import read_typed
from steadfall.plan.draft.questions import QUESTIONS
from steadfall.plan.draft.whole import draft
from steadfall.source import AskError

# Quite different plants: all six sorts, all three callers, with and without valves, metric and US units.
SETS: Mapping[str, Mapping[str, str]] = {
    "press": {"title": "Press 7: it's old", "load": "50 kg", "hot_well": "yes", "limit_switch": "yes"},
    "mould": {
        "material": "stainless steel",
        "load": "0 kg",
        "calls": "buttons",
        "flood": "no",
        "drain": "no",
    },
    "barrel": {"start": "200 degC", "goal": "90 degC", "calls": "percent", "bore": "8 mm", "length": "5 m"},
    "roll": {
        "start": "302 degF",
        "goal": "140 degF",
        "water": "60 psig",
        "circuits": "3",
        "calls": "buttons",
    },
    "oven": {"start": "180 degC", "air": "no", "within": "2 h", "fall": "4 K/min"},
    "vessel": {"load": "600 kg", "calls": "percent", "circuits": "2", "hot_well": "yes", "within": "3 h"},
}


@pytest.mark.parametrize("equipment", SETS)
def test_it_checks_clean_and_keeps_what_was_answered(equipment: str) -> None:
    answers = {"equipment": equipment, **SETS[equipment]}
    text = draft(answers)
    checked = check_text(text, "plan.yaml", lambda _plan: None)
    assert checked.problems == ()
    without_air = {"dose-without-air"} if equipment == "oven" else set()
    assert {one.slug for one in checked.advice} <= {"climb-on-one-sensor", *without_air}
    for name, answer in SETS[equipment].items():
        assert QUESTIONS[name].options or QUESTIONS[name].most or answer.replace("'", "''") in text


def test_what_was_not_answered_is_marked_and_what_was_is_not() -> None:
    def line(answers: Mapping[str, str]) -> str:
        return next(row for row in draft(answers).split("\n") if "water: {" in row)

    assert line({}).endswith("# typical: pressure, temperature")
    assert line({"cold": "12 degC"}).endswith("temperature: 12 degC}   # typical: pressure")
    assert "#" not in line({"cold": "12 degC", "water": "5 barg"})


def test_every_choice_goes_with_every_other() -> None:
    names = ("hot_well", "air", "flood", "drain")
    for k, ways in enumerate(product(("yes", "no"), repeat=len(names))):
        equipment = list(SETS)[k % len(SETS)]
        calls = ("switch", "buttons", "percent")[k % 3]
        answers = {"equipment": equipment, "calls": calls, **dict(zip(names, ways, strict=True))}
        assert check_text(draft(answers), "plan.yaml", lambda _plan: None).problems == (), answers


def test_it_predicts() -> None:
    predicted = read_typed(draft({"equipment": "mould", **SETS["mould"]}), "plan.yaml").predict(quick=True)
    assert all(one.reached_ms is not None for one in predicted.goals)


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"mas": "1 kg"}, "nothing is asked that is called 'mas'"),
        ({"mass": "4 barg"}, "Mass of the metal in all: '4 barg'"),
        ({"mass": "much"}, "Mass of the metal in all: 'much'"),
        ({"mass": "1.2t"}, "expected a mass, such as 820 kg"),
        ({"equipment": "kiln"}, "is not one of press, mould"),
        ({"circuits": "9"}, "is no number from 1 to 4"),
        ({"circuits": "two"}, "is no number from 1 to 4"),
        ({"goal": "200 degC"}, "nothing to cool"),
        ({"cold": "80 degC"}, "water of 80 degC cools nothing"),
        ({"title": "one\nplan: two"}, "is no line of at most 100 letters"),
    ],
)
def test_an_answer_that_does_not_fit_is_refused(answers: Mapping[str, str], said: str) -> None:
    with pytest.raises(AskError, match=said.replace("(", r"\(")):
        draft(answers)


def test_nothing_drains_while_a_dose_ends() -> None:
    """Without air the finish begins with a step in which no valve is open."""
    assert "closing, for: 2 s" in draft({"air": "no"})
    assert "closing" not in draft({"air": "yes"})
