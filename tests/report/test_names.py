"""Names beside strips are short, and no two that differ look alike."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from steadfall.plan.read.whole import read_file
from steadfall.report.figure.sheets import LABEL
from steadfall.report.words.happened import wanted
from steadfall.report.words.names import cut
from tests.examples import EXAMPLES


def test_the_trips_of_the_press_differ() -> None:
    words = [one.words for one in wanted(read_file(EXAMPLES["press"]))]
    labels = cut(words, LABEL)
    assert len(set(labels)) == len(labels)
    assert max(map(len, labels)) == LABEL
    trips = [label for label in labels if "platen" in label and label.startswith("trip")]
    assert trips == ["trip:…upper platen", "trip:…lower platen"]


@given(st.sets(st.text("ab ", min_size=1, max_size=30), max_size=12))
def test_no_two_look_alike(names: set[str]) -> None:
    given = sorted(names)
    found = cut(given, 12)
    assert len(set(found)) == len(found)
    assert all(len(name) <= 12 for name in found)
    assert [name for name, whole in zip(found, given, strict=True) if len(whole) <= 12] == [
        whole for whole in given if len(whole) <= 12
    ]
