"""Ticks and clocks keep their promises for any range, not for chosen ones alone."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as some

from steadfall.quantities import clock, how_long, moment
from steadfall.report.figure.scale import Scale, decimals, domain, ticks, time_ticks
from steadfall.report.words.times import took
from steadfall.units import milliseconds

lows = some.floats(-1e6, 1e6)
spans = some.floats(1e-3, 1e7)


@given(low=lows, span=spans, most=some.integers(3, 20))
def test_ticks_are_few_round_and_within(low: float, span: float, most: int) -> None:
    found = ticks(low, low + span, most)
    assert 1 <= len(found) <= most
    assert all(low - 1e-6 * span <= value <= low + span + 1e-6 * span for value in found)
    for before, after in pairwise(found):
        mantissa = (after - before) / 10 ** math.floor(math.log10(after - before) + 1e-6)
        assert min(abs(mantissa - round_one) for round_one in (1, 2, 5, 10)) < 1e-3


@given(low=lows, span=spans)
def test_six_ticks_leave_at_least_two(low: float, span: float) -> None:
    assert len(ticks(low, low + span, 6)) >= 2


@given(low=lows, span=some.floats(0, 1e7))
def test_a_domain_holds_its_values_and_has_height(low: float, span: float) -> None:
    least, most = domain(low, low + span)
    assert least < most
    slack = 1e-6 * (most - least)
    assert least <= low + slack
    assert most >= low + span - slack


@given(start=some.integers(0, 10**8), span=some.integers(1, 10**8), most=some.integers(2, 15))
def test_time_ticks_are_whole_steps_within(start: int, span: int, most: int) -> None:
    found = time_ticks(start, start + span, most)
    assert len(found) <= most
    assert all(start <= moment <= start + span for moment in found)
    assert len({after - before for before, after in pairwise(found)}) <= 1


@given(low=lows, span=spans, most=some.integers(3, 12))
def test_labels_of_an_axis_say_their_value(low: float, span: float, most: int) -> None:
    found = ticks(low, low + span, most)
    places = decimals(found)
    labels = [float(f"{value:.{places}f}") for value in found]
    if len(found) > 1:
        assert labels == pytest.approx(found, rel=1e-12, abs=1e-6 * (found[1] - found[0]))


@pytest.mark.parametrize(
    ("ms", "fine", "words"),
    [
        (0, False, "0:00"),
        (59_499, False, "0:59"),
        (59_500, False, "1:00"),
        (245_320, True, "4:05.320"),
        (3_750_000, False, "1:02:30"),
        (-1_500, True, "-0:01.500"),
        (-300, False, "0:00"),
        (7_200_001, True, "2:00:00.001"),
    ],
)
def test_clock(ms: int, fine: bool, words: str) -> None:
    assert clock(ms, fine=fine) == words


@pytest.mark.parametrize(
    ("ms", "words"), [(0, "0:00"), (20, "0:00.020"), (90_500, "1:30.500"), (5_400_000, "1:30:00")]
)
def test_a_moment_has_milliseconds_where_it_lies_between_two_seconds(ms: int, words: str) -> None:
    assert moment(ms) == words


@pytest.mark.parametrize(
    ("ms", "words"),
    [
        (0, "0 s"),
        (20, "20 ms"),
        (1_000, "1 s"),
        (2_400, "2.4 s"),
        (10_000, "10 s"),
        (59_999, "59.999 s"),
        (60_000, "1:00"),
        (61_500, "1:01.500"),
        (5_400_000, "1:30:00"),
    ],
)
def test_how_long_something_lasts_can_be_typed_again(ms: int, words: str) -> None:
    assert how_long(ms) == words
    assert milliseconds(words) == ms


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.0, "0.00 s"), (4.5, "4.50 s"), (59.996, "1:00"), (193.97, "3:14")]
)
def test_how_long_an_answer_took(seconds: float, words: str) -> None:
    assert took(seconds) == words


def test_scale_runs_straight_between_its_ends() -> None:
    scale = Scale(10, 20, 300, 100)
    assert (scale(10), scale(15), scale(20)) == (300, 200, 100)
