"""A rate is read by the time that the plan has it in, in every sentence about doses."""

import re

import pytest

from steadfall.dose.bound import Bound, limits_of
from steadfall.dose.buys import unit
from steadfall.dose.found import Buy, Fight
from steadfall.dose.work import Outcome
from steadfall.plan.read.whole import read_text
from steadfall.quantities import METRIC
from steadfall.report.words.doses import buy_words, fight_words
from tests.dose.conftest import HARD, SMALL

RATES = {
    "fall_rate: at most 3 K/s": "K/s",
    "fall_rate: at most 180 K/min, over: 5 s": "K/min",
    "rise_rate: at most 90 K/min": "K/min",
}


def bound_of(words: str) -> Bound:
    return limits_of(read_text(SMALL.replace(HARD, f"{{of: upper.wall, {words}}}")))[0]


@pytest.mark.parametrize("words", RATES)
def test_a_sentence_has_one_unit_of_a_rate(words: str) -> None:
    bound = bound_of(words)
    before, after = Outcome(600.0, 9.0, 8, {bound: 1.0}), Outcome(500.0, 9.0, 8, {bound: 1.0})
    fight = Fight((), {bound: 21.8}, {bound: 21.9})
    for said in (*fight_words(fight), buy_words(Buy((bound,), unit(bound), before, after), METRIC)):
        assert set(re.findall(r"K/(?:s|min)", said)) == {RATES[words]}, said


def test_what_comes_to_nothing_is_not_said_to_be_gained() -> None:
    bound = bound_of("fall_rate: at most 3 K/s")
    before, sooner = Outcome(600.0, 9.0, 8, {bound: 1.0}), Outcome(540.0, 9.2, 8, {bound: 1.0})
    one = Buy((bound,), unit(bound), before, sooner)
    assert buy_words(one, METRIC).endswith("would buy 1:00 sooner (both on the coarse grid).")
    none = Buy((bound,), unit(bound), before, before)
    assert "nothing to speak of" in buy_words(none, METRIC)
