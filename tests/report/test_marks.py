"""The numbers at what was worst cover neither each other nor what is written at the levels."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from steadfall.report.figure.marks import Balloon, Rule, draw_balloons, draw_rules
from steadfall.report.figure.scale import Scale

X, Y = Scale(0, 1_440_000, 100, 560), Scale(0.0, 10.0, 70, 0)
RULES = (
    Rule(10.0, "rated 10.00 barg", "rating"),
    Rule(8.0, "relief opens at 8.00 barg", "rating"),
    Rule(6.0, "limit 3: at most 6.00 barg", "limit"),
    Rule(4.5, "works water 4.50 barg", "supply"),
    Rule(4.0, "return water 4.00 barg", "supply"),
)
_TEXT = re.compile(r'<text x="([0-9.]+)" y="([-0-9.]+)"[^>]*>([^<]+)</text>')
_CIRCLE = re.compile(r'translate\(([0-9.]+) 0\).*?<circle cx="([-0-9.]+)" cy="([-0-9.]+)" r="9"')


def middles(*balloons: Balloon, y: Scale = Y) -> list[tuple[float, float]]:
    """Where the balloons are drawn, in px."""
    drawn = (_CIRCLE.search(one) for one in draw_balloons(balloons, RULES, X, y))
    return [(float(found[1]) + float(found[2]), float(found[3])) for found in drawn if found]


def at(minutes: float, value: float, number: int = 3) -> Balloon:
    return Balloon(number, round(minutes * 60_000), value, False, "")


@pytest.mark.parametrize("minutes", [22.5, 23.9, 18.0, 21.0])
@pytest.mark.parametrize("value", [0.2, 2.74, 4.4, 5.9, 9.0])
def test_no_number_covers_the_words_of_a_level(minutes: float, value: float) -> None:
    ((a, b),) = middles(at(minutes, value))
    written = [(float(x), float(y), words) for x, y, words in _TEXT.findall(draw_rules(RULES, X, Y))]
    assert len(written) == len(RULES)
    for end, foot, words in written:
        beside = a + 9 < end - 5.5 * len(words) or a - 9 > end
        assert beside or b + 9 < foot - 9 or b - 9 > foot, words
    assert a - 9 > 100
    assert a + 9 < 560


def test_levels_are_lettered_in_their_order() -> None:
    """In a low chart too, where the words of one level had room above those of a higher one."""
    written = sorted((float(y), words) for _, y, words in _TEXT.findall(draw_rules(RULES, X, Y)))
    assert [words for _, words in written] == [rule.label for rule in RULES]
    assert all(b - a >= 12 for (a, _), (b, _) in pairwise(written))


def test_numbers_of_one_moment_stand_side_by_side() -> None:
    found = middles(at(5, 1.0), at(5, 1.0, 4), at(5.05, 1.1, 5), at(5, 9.5, 6))
    assert len(found) == 4
    for k, (a, b) in enumerate(found):
        assert not any(abs(a - c) < 18 and abs(b - d) < 18 for c, d in found[:k])


def test_a_number_stays_near_its_place_where_there_is_room_below() -> None:
    tall = Scale(0.0, 10.0, 112, 0)
    ((a, b),) = middles(at(22.5, 2.74), y=tall)
    assert (a - X(22.5 * 60_000), b - tall(2.74)) == pytest.approx((14.0, 18.0), abs=0.1)
