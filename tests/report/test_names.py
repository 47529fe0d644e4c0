"""Names beside strips are short, and no two that differ look alike."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadfall.plan.read.whole import read_file
from steadfall.report.figure.sheets import LABEL
from steadfall.report.words.happened import wanted
from steadfall.report.words.names import cut, sentence
from tests.examples import EXAMPLES


def test_the_trips_of_the_press_differ() -> None:
    words = [one.words for one in wanted(read_file(EXAMPLES["press"]))]
    labels = cut(words, LABEL)
    assert len(set(labels)) == len(labels)
    assert max(map(len, labels)) == LABEL
    trips = [label for label in labels if "platen" in label and label.startswith("trip")]
    assert trips == ["trip:…upper platen", "trip:…lower platen"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("upper.wall, fall_rate at most 0.5 K/s", "upper: wall, fall rate at most 0.5 K/s"),
        ("zone_2.wall_shock, at most 40 K", "zone 2: wall shock, at most 40 K"),
        (
            "core_1, at least 2.5 barg, between 145 .. 100 degC",
            "core 1, at least 2.5 barg, between 145 .. 100 degC",
        ),
    ],
)
def test_a_limit_is_said_as_charts_say_it(text: str, said: str) -> None:
    assert sentence(text) == said


@given(st.sets(st.text("ab ", min_size=1, max_size=30), max_size=12))
def test_no_two_look_alike(names: set[str]) -> None:
    given = sorted(names)
    found = cut(given, 12)
    assert len(set(found)) == len(found)
    assert all(len(name) <= 12 for name in found)
    assert [name for name, whole in zip(found, given, strict=True) if len(whole) <= 12] == [
        whole for whole in given if len(whole) <= 12
    ]
