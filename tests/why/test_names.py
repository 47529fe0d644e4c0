"""Signals that only a controller's text has, in words. Names as the reader of structured text makes them."""

from __future__ import annotations

import pytest

from steadfall.why.speech import name_word


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("upper.mist", "upper.mist"),
        ("upper.step_over~27", "upper.step_over"),
        ("#if~22", "the condition of the IF here"),
        ("upper.#case~3", "the number that the CASE here looks at"),
    ],
)
def test_names_in_words(name: str, word: str) -> None:
    assert name_word(name) == word
