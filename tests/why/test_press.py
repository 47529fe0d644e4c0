"""The answers for the press, word for word, and the lines of the plan that they cite."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import pytest

from steadfall.units import milliseconds
from steadfall.why.explain import explain
from steadfall.why.words.tell import Reason
from tests.examples import EXAMPLES
from tests.why.press import EXPECTED, MOMENTS, answer, history, told

LINES = EXAMPLES["press"].read_text(encoding="utf-8").splitlines()
TIME = re.compile(r"[0-9.]+ (?:ms|s|min|h)\b|[0-9]+(?::[0-9]{2})+(?:\.[0-9]+)?")
POINTS = [(signal, at_ms) for signal, at_ms, _ in MOMENTS]


def every(reasons: tuple[Reason, ...]) -> Iterator[Reason]:
    for reason in reasons:
        yield reason
        yield from every(reason.reasons)


def heading(line: int) -> str:
    """The key under which a line stands."""
    above = (text for text in reversed(LINES[: line - 1]) if text and text[0] not in " #")
    return " " + next(above, "")


def names(sentence: str) -> set[str]:
    """The words of a sentence by which its line can be known: names, without their circuit, and times,
    however they are written.
    """
    sentence = TIME.sub(lambda found: f"{milliseconds(found[0])}-ms", sentence)
    for mark in "':,{}[]":
        sentence = sentence.replace(mark, " ")
    words = sentence.split()
    return {word.rpartition(".")[2] for word in words} | set(words)


def test_the_answers_word_for_word() -> None:
    assert told() == EXPECTED.read_text(encoding="utf-8")


# Words that are in many lines and tell nothing apart.
COMMON = {
    "is",
    "in",
    "the",
    "a",
    "of",
    "up",
    "to",
    "on",
    "off",
    "for",
    "open",
    "and",
    "at",
    "s",
    "not",
    "ms",
    "over",
}


@pytest.mark.parametrize(("signal", "at_ms"), POINTS)
def test_every_line_that_is_cited_exists_and_names_the_thing(signal: str, at_ms: int) -> None:
    found = answer(signal, at_ms)
    cited = [(reason.sentence, reason.mark) for reason in every(found.reasons)]
    cited += [pair for way in found.otherwise for pair in way]
    for sentence, mark in cited:
        assert mark.file == str(EXAMPLES["press"])
        line = LINES[mark.line - 1] + heading(mark.line)
        assert (names(sentence) & names(line)) - COMMON, (sentence, line)


def test_as_json() -> None:
    data = json.loads(json.dumps(answer("upper.mist", 12_340).as_json(), allow_nan=False))
    assert (data["signal"], data["value"], data["at_s"]) == ("upper.mist", True, 12.34)
    facts = {(row["kind"], row["name"]): row for row in data["facts"]}
    assert facts["input", "full_call"]["since_s"] == 8.0
    assert facts["input", "air_pressure_ok"]["value"] is True
    assert data["reasons"][0]["signal"] == "upper.stage"
    assert data["reasons"][0]["since_s"] == 8.0
    assert {"sentence", "signal", "value", "at_s", "since_s", "file", "line", "reasons"} == set(
        data["reasons"][0]
    )
    assert data["hoped"] == "shut"
    assert data["otherwise"][0][0]["sentence"] == "full_call off"


def test_without_the_words_of_a_plan_signals_go_by_their_names() -> None:
    run = history()
    lines = explain(run.network, run, "upper.mist", run.scan_at(90_500)).sentences()
    assert lines[0] == "upper.mist is false at 1:30.500 because"
    assert any("air_pressure_ok is false since 1:30" in line for line in lines)


def test_an_unknown_signal_is_said_with_its_neighbours() -> None:
    run = history()
    with pytest.raises(KeyError, match=r"upper\.mist"):
        explain(run.network, run, "upper.mits", 0)
