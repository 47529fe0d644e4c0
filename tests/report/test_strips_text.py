"""The strip in letters: filled, thin, shaded, hatched, and nothing short lost."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as some

from steadfall.predict.outcome.result import Prediction
from steadfall.report.text.strips import Moment, strips_text
from steadfall.trace.trace import Trace, Track


def trace(changes: list[tuple[int, bool]], end: int) -> Trace:
    times = np.array([when for when, _ in changes], dtype=np.int64)
    values = np.array([value for _, value in changes], dtype=np.bool_)
    return Trace({"v": Track("v", "bool", "", times, values)}, end)


def cells(text: str, side: int = 3) -> str:
    return text.splitlines()[0][side:]


def test_true_false_shade_and_unknown() -> None:
    made = trace([(200, False), (400, True), (550, False), (910, True), (920, False)], 1000)
    text = strips_text(made, ["v"], (0, 1000), width=13)
    assert cells(text) == "╱╱▁▁█▒▁▁▁░"
    assert cells(strips_text(made, ["v"], (0, 1000), width=13, plain=True)) == "//__#+___-"


@given(start=some.integers(1, 99_980), length=some.integers(1, 20))
def test_no_opening_vanishes(start: int, length: int) -> None:
    made = trace([(0, False), (start, True), (start + length, False)], 100_000)
    assert set(cells(strips_text(made, ["v"], width=60))) & set("░▒▓█")


def test_a_moment_is_marked_and_named(prediction: Prediction) -> None:
    names = ["upper.mist", "upper.stage"]
    text = strips_text(prediction.trace, names, (0, 20_000), width=80, moment=Moment(6_400, "third dose"))
    place = text.splitlines()[0].index("│")
    assert text.splitlines()[1][place] == "│"
    assert text.splitlines()[2] == " " * place + "└ 0:06.400 third dose"
    late = strips_text(
        prediction.trace, names, (0, 20_000), width=80, moment=Moment(19_500, "the last of them")
    )
    assert late.splitlines()[2].endswith("0:19.500 the last of them ┘")


def test_numbers_are_written_where_they_change(prediction: Prediction) -> None:
    row = strips_text(prediction.trace, ["upper.stage"], width=80).splitlines()[0]
    assert [letter for letter in row.split()[1] if letter != "·"] == list("123450")


def test_every_line_fits(prediction: Prediction) -> None:
    names = ["upper.mist", "lower.mist", "upper.stage"]
    moment = Moment(2_000_000, "a caption")
    for width in (40, 80, 120):
        text = strips_text(prediction.trace, names, width=width, moment=moment)
        assert max(len(line) for line in text.splitlines()) <= width
