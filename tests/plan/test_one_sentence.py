"""One slip of the pen is one sentence, however often the plan names what was misspelt."""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_text
from steadfall.source import PlanError, Problem
from tests.examples import ROOT

SMALL = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8") + (
    "done: {when: upper.outlet_temperature < 60 degC for 60 s}\n"
    "outputs:\n  lamp: {on: upper.mist or upper.flood or lower.mist}\n"
    "requirements:\n  - {never: upper.mist and not upper.sweep}\n  - {never: lower.mist and upper is idle}\n"
)


def only_problem(old: str, new: str) -> Problem:
    assert SMALL.count(old) == 1
    with pytest.raises(PlanError) as caught:
        read_text(SMALL.replace(old, new))
    (found,) = caught.value.problems
    return found


@pytest.mark.parametrize(
    ("old", "new", "read"),
    [
        ("  upper: {type", "  uper: {type", "'upper' is no circuit; did you mean 'uper'?; the same in lines"),
        ("      mist: {supply", "      fog: {supply", "'mist' is no valve of this circuit type; the same in"),
        ("  works_water: {fluid", "  wrks_water: {fluid", "'works_water' is no supply; did you mean"),
        ("  upper_platen: {mass", "  uper_platen: {mass", "'upper_platen' is no body"),
        ("  full_call: {kind", "  ful_call: {kind", "'full_call' is no"),
        ("  platen_circuit:", "  plate_circuit:", "'platen_circuit' is no circuit type"),
    ],
)  # fmt: skip
def test_a_name_that_is_misspelt_where_it_is_given(old: str, new: str, read: str) -> None:
    assert read in only_problem(old, new).read


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("  lamp: {on: ", "  lamp: {when: ", "'when' is not a key of an output, and 'on' is missing"),
        ("fluid: air", "flud: air", "'flud' is not a key of a supply, and 'fluid' is missing"),
        ("done: {when: ", "done: {when:", "a space is missing after the ':' of this key"),
        ("ambient: 20 degC", "ambient: 20,5 degC", "'20,5' has a decimal comma"),
        ("upper: {type: platen", "upper: {type: plate", "'plate_circuit' is no circuit type"),
        ("timer_step: 10 ms", "timer_step: 7 ms", "9 times of the plan are no multiple of 7 ms"),
        ("kind: switch, normal: on}", "kind: switch, normal: on, filter: 2 s}", "a switch is on or off"),
        (
            "outputs:",
            "alarms: [{name: hot, when: upper is full}]\noutputs:\n  horn: {on: unacknowledged}",
            "there are alarms, and nothing acknowledges them",
        ),
        (
            "limits:",
            "scenarios: {jam: {steps: [{at: 0 s, upper.mist: jammed}], until: 1 min}}\nlimits:",
            "'jammed' does not fit here",
        ),
        (
            "limits:",
            "scenarios: {jam: {steps: [{at: 0 s, upper.mist: on}], until: 1 min}}\nlimits:",
            "'upper.mist' is a valve, and never 'on'",
        ),
        (
            "range: 0 .. 16 barg}",
            "range: 0 .. 16 barg, when_bad: stop, reset: reset_button}",
            "'stop' does not fit",
        ),
        (
            "range: 0 .. 16 barg}",
            "range: 16 .. 0 barg}",
            "the range does not rise: it goes from 16 barg to 0 barg",
        ),
    ],
)
def test_one_slip_is_not_told_as_two(old: str, new: str, told: str) -> None:
    assert told in only_problem(old, new).read


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("done: {when", "done {when"),
        ("  upper: {type", "  upper {type"),
        ("limits:", "limits"),
        ("pressure: 4 barg", "pressure 4 barg"),
    ],
)
def test_a_colon_that_is_missing_is_told_in_its_own_line(old: str, new: str) -> None:
    found = only_problem(old, new)
    assert found.read == "a ':' is missing after this key"
    assert (found.slug, found.mark.line) == ("broken-yaml", SMALL[: SMALL.index(old)].count("\n") + 1)


def test_a_name_with_a_dash_is_told_once() -> None:
    with pytest.raises(PlanError) as caught:
        read_text(SMALL.replace("air_pressure_ok", "air-pressure-ok"))
    (found,) = caught.value.problems
    assert found.read.startswith("'air-pressure-ok' cannot be a name; the same in line")
    assert found.example == "air_pressure_ok"
