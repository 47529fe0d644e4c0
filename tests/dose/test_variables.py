"""What a search may change, put into the plan and into its text."""

import re

import pytest

from steadfall.dose.possible import possible
from steadfall.dose.variable import own, put
from steadfall.dose.variables import variables
from steadfall.plan.model import Plan
from steadfall.plan.model.sequence import Dose
from steadfall.plan.read.whole import read_file, read_text
from steadfall.plan.revise.numbers import with_numbers
from steadfall.source import AskError, PlanError
from tests.dose.conftest import TEXT
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD

NUMBER = re.compile(r"\d+:\d\d(\.\d+)?|\d[\d.:]* (ms|s|min|degC)")
PHASES = next(path for path in GOOD if path.stem == "dose_then")


def test_doses_of_every_phase_and_climbs_by_circuit_type(plan: Plan) -> None:
    assert [one.words for one in variables(plan)] == [
        "dosing, mist open",
        "dosing, mist shut",
        "dosing, climb after",
        "dosing, climb outlet_temperature",
    ]
    phases = {one.words for one in variables(read_file(PHASES))}
    assert {"dosing, mist for", "dosing, mist then open", "dosing, mist then shut"} <= phases


def test_values_are_what_a_technician_can_set(plan: Plan) -> None:
    opened, shut, after, below = variables(plan)
    assert opened.values[:3] == (0.3, 0.4, 0.5)  # the valve's shortest opening, then steps of 0.1 s
    assert shut.values[0] == 0.3
    assert after.values[:2] == (15.0, 20.0)
    assert [round(value - 273.15, 6) for value in below.values[:2]] == [80.0, 85.0]
    assert below.values[-1] <= 160 + 273.15


def test_a_coarse_timer_step_is_kept() -> None:
    coarse = TEXT.replace("timer_step: 10 ms", "timer_step: 40 ms").replace(": 300 ms", ": 320 ms")
    for one in variables(read_text(coarse))[:3]:
        assert all(round(1000 * value) % 40 == 0 for value in one.values)


@pytest.mark.parametrize("path", [PHASES, *map(str, EXAMPLES.values())], ids=str)
def test_numbers_go_to_their_places_and_nothing_else_changes(path: str) -> None:
    plan = read_file(path)
    known = variables(plan)
    point = tuple((place + 1) % len(one.values) for place, one in zip(own(plan, known), known, strict=True))
    values = {one.number: one.values[place] for one, place in zip(known, point, strict=True)}
    text = with_numbers(plan, values)
    assert read_text(text) == put(plan, known, point)
    before, after = plan.text.split("\n"), text.split("\n")
    changed = [k for k, (old, new) in enumerate(zip(before, after, strict=True)) if old != new]
    assert changed
    for k in changed:
        assert NUMBER.sub("?", before[k]) == NUMBER.sub("?", after[k])


def test_a_time_keeps_its_unit_where_it_reads_well() -> None:
    plan = read_text(TEXT.replace("after 45 s", "after 0.75 min"))
    after = variables(plan)[2]
    assert "after 1.25 min" in with_numbers(plan, {after.number: 75.0})
    assert "after 50 s" in with_numbers(plan, {after.number: 50.0})
    clocked = read_text(TEXT.replace("after 45 s", "after 0:45"))
    assert "after 1:15" in with_numbers(clocked, {variables(clocked)[2].number: 75.0})


def test_a_number_that_is_spread_over_lines_is_not_touched() -> None:
    folded = TEXT.replace(
        "climb: after 45 s and outlet_temperature", "climb: 'after 45 s and\n          outlet_temperature"
    )
    plan = read_text(folded.replace("< 120 degC}", "< 120 degC'}"))
    with pytest.raises(AskError, match="put 50 s there by hand"):
        with_numbers(plan, {variables(plan)[2].number: 50.0})


REFUSED = (
    (next(path for path in GOOD if path.stem == "logic_alone").read_text(encoding="utf-8"), "logic alone"),
    (TEXT.replace("  - {goal: upper_platen below 70 degC, within: 60 min}\n", ""), "no goal"),
    (TEXT.replace("mist: {open: 0.8 s, shut: 2.4 s}", "mist: open"), "no stage of the plan doses"),
)


@pytest.mark.parametrize(("text", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_where_there_is_nothing_to_search_it_says_so(text: str, words: str) -> None:
    plan = read_text(text)
    with pytest.raises(AskError, match=words):
        possible(plan, variables(plan))


def test_bounds_of_no_width_are_said(plan: Plan) -> None:
    with pytest.raises(AskError, match="second value"):
        possible(plan, ())


def test_doses_that_are_settings_stay_the_operators() -> None:
    path = next(path for path in GOOD if path.stem == "settings")
    text = path.read_text(encoding="utf-8")
    plan = read_text(text if "goal:" in text else text + "\n")
    doses = [a for s in plan.circuit_types.values() for t in s.stages for a in t.actions.values()]
    assert any(isinstance(one, Dose) for one in doses)
    assert not [one for one in variables(plan) if one.what.startswith("mist")]


LIMITS = "  - {of: upper.wall_shock, at most: 90 K}\n"
FORBIDDEN = (
    ("upper_platen below 70 degC", "upper_platen below 14 degC", "the coldest that the plan has"),
    (LIMITS, "  - {of: upper.pressure, at most: 0 barg}\n", "the pressure behind the outlet"),
    (LIMITS, "  - {of: upper.wall_shock, at most: 0 K}\n", "has some"),
    # 90 K at 1.4 K/min are 64.3 min, 60 of them are given; a fall within the limit's window of 60 s is free
    (LIMITS, "  - {of: upper_platen, fall_rate: at most 1.4 K/min}\n", "takes 1:03:17 at least by"),
    # 40 of the 90 K by a third of that rate: 80 min
    (
        LIMITS,
        "  - {of: upper_platen, fall_rate: at most 0.5 K/min, between: 120 .. 80 degC}\n",
        "takes 1:19:00 at least",
    ),
)


@pytest.mark.parametrize(("said", "instead", "words"), FORBIDDEN, ids=[words for *_, words in FORBIDDEN])
def test_what_no_doses_can_keep_is_a_problem_of_the_plan(said: str, instead: str, words: str) -> None:
    assert said in TEXT
    plan = read_text(TEXT.replace(said, instead))
    with pytest.raises(PlanError, match=words):
        possible(plan, variables(plan))


def test_a_fall_that_the_goal_leaves_time_for_is_searched() -> None:
    """90 K at 1.6 K/min are 56 min, and 60 are given."""
    rate = "  - {of: upper_platen, fall_rate: at most 1.6 K/min}\n"
    plan = read_text(TEXT.replace(LIMITS, rate))
    possible(plan, variables(plan))
