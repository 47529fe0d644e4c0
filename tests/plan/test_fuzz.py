"""Whatever the reader is given, it answers with a plan or with PlanError."""

import re
import tempfile
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadfall.plan.advise.whole import advice
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.plan.write.whole import write
from steadfall.source import PlanError
from tests.plan.paths import BAD, CLEAN

TEXTS = [path.read_text(encoding="utf-8") for path in CLEAN]
LINES = sorted({line for text in TEXTS for line in text.splitlines(keepends=True)})
TOKEN = re.compile(r"[A-Za-z_.]+|[0-9.]+|\s+|\S")
TOKENS = sorted(
    {
        token
        for text in [*TEXTS, *(path.read_text(encoding="utf-8") for path in BAD)]
        for token in TOKEN.findall(text)
    }
)

FEW = settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def read(reader: Callable[[str], Plan], given: str) -> Plan | None:
    """The plan, or None where the reader said what is wrong; anything else it might raise fails the test."""
    try:
        return reader(given)
    except PlanError as error:
        if not error.problems or not str(error):
            raise AssertionError("a PlanError without a problem") from error
        return None


def answers(text: str) -> None:
    plan = read(read_text, text)
    if plan is not None:
        advice(plan)
        assert read_text(write(plan)) == plan


@FEW
@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    answers(text)


@FEW
@given(st.text(alphabet="ab: -[]{}&*!|>'\"%#\n\t,?0123", max_size=200))
def test_any_text_of_yaml_signs(text: str) -> None:
    answers(text)


@FEW
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plan.yaml"
        path.write_bytes(data)
        read(read_file, str(path))


@FEW
@given(st.data())
def test_plans_with_other_lines(data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from(TEXTS)).splitlines(keepends=True)
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(lines) - 1))
        how = data.draw(st.sampled_from(["drop", "double", "swap", "insert", "indent", "cut"]))
        _change_line(lines, place, how, data)
        if not lines:
            break
    answers("".join(lines))


def _change_line(lines: list[str], place: int, how: str, data: st.DataObject) -> None:
    if how == "drop":
        del lines[place]
    elif how == "double":
        lines.insert(place, lines[place])
    elif how == "swap":
        other = data.draw(st.integers(0, len(lines) - 1))
        lines[place], lines[other] = lines[other], lines[place]
    elif how == "insert":
        lines.insert(place, data.draw(st.sampled_from(LINES)))
    elif how == "indent":
        lines[place] = " " * data.draw(st.integers(0, 8)) + lines[place].lstrip()
    else:
        del lines[place:]


@FEW
@given(st.data())
def test_plans_with_other_words(data: st.DataObject) -> None:
    tokens = TOKEN.findall(data.draw(st.sampled_from(TEXTS)))
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(0, len(tokens) - 1))
        tokens[place] = data.draw(st.one_of(st.just(""), st.sampled_from(TOKENS), st.text(max_size=4)))
    answers("".join(tokens))


@FEW
@given(st.data())
def test_plans_with_other_numbers(data: st.DataObject) -> None:
    """Changes that mostly leave a plan, so that what lies behind the reading is met too."""
    tokens = TOKEN.findall(data.draw(st.sampled_from(TEXTS)))
    numbers = [i for i, token in enumerate(tokens) if token[0].isdigit()]
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.sampled_from(numbers))
        tokens[place] = str(data.draw(st.one_of(st.integers(0, 200), st.decimals(0, 50, places=3))))
    answers("".join(tokens))


def test_a_setting_that_cannot_be_read_is_a_problem_and_no_failure() -> None:
    text = next(text for text in TEXTS if "\nsettings:\n" in text)
    begin, end = text.index("\nsettings:\n"), text.index("\ncircuit_types:")
    for place in (found.start() for found in re.finditer(r"(?<=[ {])\d", text[begin:end])):
        for odd in ("x", "", "1e99"):
            answers(text[: begin + place] + odd + text[begin + place + 1 :])
