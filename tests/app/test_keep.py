"""What was pressed is written into the plan at its place, and nothing else is changed."""

from __future__ import annotations

import pytest

from steadfall.app.page.keep import Play, with_scenario
from steadfall.plan.read.whole import read_text
from steadfall.source import AskError
from tests.examples import EXAMPLES, ROOT

DONE = ((1240, "full_call", "on"), (61_000, "air_pressure_ok", "off"), (61_000, "full_call", "off"))
SMALL = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8")


def added(before: str, after: str) -> str:
    """What stands in the text after that did not before; the rest must be there letter by letter."""
    first = next(k for k, (a, b) in enumerate(zip(f"{before}\0", after, strict=False)) if a != b)
    more = len(after) - len(before)
    found = after[first : first + more]
    assert before == after[:first] + after[first + more :]
    return found


@pytest.mark.parametrize("name", ["press", "barrel", "roll"])
def test_it_stands_first_in_its_section_and_all_else_stays(name: str) -> None:
    text = EXAMPLES[name].read_text(encoding="utf-8")
    inputs = [one.name for one in read_text(text, "p.yaml").inputs.values() if one.measures is None]
    made = with_scenario(text, "p.yaml", "tried by hand", Play([(2500, inputs[0], "on")], 90_000))
    assert added(text, made).strip().split("\n")[-1].strip() == "until: 1:30"
    scenarios = read_text(made, "p.yaml").scenarios
    assert next(iter(scenarios)) == "tried by hand"
    (step,) = scenarios["tried by hand"].steps
    assert (step.time_ms, step.values) == (2500, {inputs[0]: 1.0})


@pytest.mark.parametrize(
    ("end", "how"),
    [
        ("", "\nscenarios:\n  by hand:\n    steps:\n"),
        ("scenarios: {}\n", "by hand: {steps: [{at: 1.24 s, full_call: on}, "),
        ("scenarios: {a: {steps: [{at: 0 s, full_call: on}], until: 5 s}}  # mine\n", "until: 1:10}, "),
        (
            "scenarios:   # mine\n\n  # of old\n  a: {steps: [{at: 0 s, full_call: on}], until: 5 s}\n",
            "  by hand:\n    steps:\n",
        ),
        (
            "scenarios:\n      a: {steps: [{at: 0 s, full_call: on}], until: 5 s}\n",
            "      by hand:\n        steps:\n",
        ),
    ],
)
def test_every_way_to_write_the_section_keeps_its_look(end: str, how: str) -> None:
    made = with_scenario(SMALL + end, "p.yaml", "by hand", Play(DONE, 70_000))
    assert how in made
    assert "steps" in added(SMALL + end, made)
    found = read_text(made, "p.yaml").scenarios["by hand"]
    assert found.until_ms == 70_000
    assert [(step.time_ms, dict(step.values)) for step in found.steps] == [
        (1240, {"full_call": 1.0}),
        (61_000, {"air_pressure_ok": 0.0, "full_call": 0.0}),
    ]


def test_a_last_line_without_its_end_is_ended_first() -> None:
    made = with_scenario(SMALL.rstrip("\n"), "p.yaml", "by hand", Play(DONE, 70_000))
    assert "by hand" in read_text(made, "p.yaml").scenarios


@pytest.mark.parametrize("name", ["", " a", "a: b", "{}", "a\nb", "x" * 61, "# a", "1 a", "strongest call"])
def test_a_name_that_cannot_be_is_refused(name: str) -> None:
    with pytest.raises(AskError):
        with_scenario(SMALL, "p.yaml", name, Play(DONE, 70_000))


def test_a_name_that_is_taken_and_a_text_with_problems_are_refused() -> None:
    made = with_scenario(SMALL, "p.yaml", "by hand", Play(DONE, 70_000))
    with pytest.raises(AskError, match="already"):
        with_scenario(made, "p.yaml", "by hand", Play(DONE, 70_000))
    with pytest.raises(AskError, match="cannot be written"):
        with_scenario(SMALL.replace("nominal: 20 ms", "nominal: twenty"), "p.yaml", "b", Play(DONE, 70_000))
    with pytest.raises(AskError, match="cannot be written"):
        with_scenario(SMALL, "p.yaml", "b", Play([(0, "no_such_input", "on")], 70_000))


def test_nothing_done_is_nothing_to_keep() -> None:
    with pytest.raises(AskError, match="nothing was pressed"):
        with_scenario(SMALL, "p.yaml", "by hand", Play([], 70_000))
