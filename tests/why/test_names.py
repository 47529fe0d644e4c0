"""Signals that only a controller's text has, in words."""

from __future__ import annotations

from steadfall.st.read.whole import read_st
from steadfall.why.scans.history import History
from steadfall.why.words.speech import name_word
from tests.runs.made import made

TEXT = """
PROGRAM P
VAR_INPUT a : BOOL; b : BOOL; n : INT; END_VAR
VAR_OUTPUT q : BOOL; r : BOOL; END_VAR
IF a AND b THEN q := r; ELSE q := NOT r; END_IF;
CASE n + 1 OF
  1: r := a;
  2: r := b OR NOT a;
ELSE r := FALSE;
END_CASE;
q := (q AND a) OR (r AND NOT q);
END_PROGRAM
"""


def test_what_reading_has_numbered_or_made_is_said_in_words() -> None:
    network = read_st(TEXT, "p.st", {"q": "upper.mist"})
    history = History(network, made([(0, {})]))
    words = {row.name: name_word(history, row.name) for row in network.assignments}
    said = [word for name, word in words.items() if name != word]
    assert said == [
        "the condition of the IF here",
        "q",
        "the number that the CASE here looks at",
        "the condition of the IF here",
        "the condition of the IF here",
        "r",
    ]
    assert words["upper.mist"] == "upper.mist"
    assert words["r"] == "r"
