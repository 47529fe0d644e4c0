"""What a prediction advises about water that is left depends on how far the finish came."""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.notes import Finish, finish_of
from steadfall.predict.run import coarse, predict
from tests.plan.paths import ROOT

SMALL = (ROOT / "tests" / "plans" / "good" / "small.yaml").read_text(encoding="utf-8")
FINISH = "    finish:\n      - {name: blow_out, sweep: open, for: 20 s}\n"
STOPPED = "scenarios:\n  cut short: {steps: [{at: 0 s, full_call: on}], until: 2 min}\n"


def advice(text: str, scenario: str | None = None) -> set[str]:
    """What is said of water that is left, from where the steam is told on."""
    plan = read_text(text)
    notes = predict(plan, scenario, coarse(plan)).notes
    return {note.sentence.partition("m3 of steam: ")[2] for note in notes if "next heat-up" in note.sentence}


def test_nobody_is_told_to_blow_out_longer_where_no_finish_ran() -> None:
    told = advice(SMALL + STOPPED, "cut short")
    assert told == {f"{Finish.NOT_DONE.value}, and keep its outlet open"}
    assert not any("longer" in sentence for sentence in told)


def test_a_plan_without_a_finish_is_told_to_drain_or_blow_out() -> None:
    assert advice(SMALL.replace(FINISH, "")) == {"drain or blow it out, and keep its outlet open"}


def test_a_finish_that_was_too_short_is_to_be_longer() -> None:
    assert advice(SMALL.replace("for: 20 s", "for: 0.2 s")) == {
        "drain or blow out longer, and keep its outlet open"
    }


@pytest.mark.parametrize(
    ("stages", "finish"),
    [
        ([0, 1, 2, 3, 0], Finish.DONE),
        ([0], Finish.DONE),
        ([0, 1, 2], Finish.NOT_DONE),
        ([0, 1, 2, 3], Finish.NOT_DONE),
        ([0, 1, 0], Finish.NOT_DONE),  # a trip has ended it
        ([0, 1, 2, 3, 0, 1], Finish.NOT_DONE),
        ([0, 1, 2, 3, 0, 1, 0], Finish.NOT_DONE),
    ],
)
def test_how_far_the_finish_came(stages: list[int], finish: Finish) -> None:
    """The small press has two stages and one step of its finish, number 3."""
    plan = read_file(ROOT / "tests" / "plans" / "good" / "small.yaml")
    assert finish_of(plan.type_of("upper"), stages) is finish
