"""The numbers that a technician turns: found at their places, and changed there alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.app.page.knobs import BOUNDS, Knob, knobs, turned
from tests.examples import EXAMPLES

TEXT = EXAMPLES["press"].read_text(encoding="utf-8")


def knob(words: str, text: str = TEXT) -> Knob:
    return next(one for one in knobs(text) if one.words.endswith(words))


@pytest.mark.parametrize("path", EXAMPLES.values(), ids=EXAMPLES)
def test_each_is_what_stands_at_its_place(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = knobs(text)
    assert len(found) >= 8
    for one in found:
        assert text[one.start : one.end] == one.number
        assert text[one.end :].startswith(f" {one.unit}")
        assert text[: one.start].count("\n") + 1 == one.line
        assert one.least <= float(one.number) <= one.most
        assert one.step > 0
        steps = (float(one.number) - one.least) / one.step
        assert steps == pytest.approx(round(steps), abs=1e-6)  # a slider can stand where the plan does
    assert len({one.start for one in found}) == len(found)


def test_a_dose_a_climb_and_what_a_supply_gives() -> None:
    dose, climb = knob("first doses mist open"), knob("first doses climb platen temperature <")
    assert (dose.group, dose.number, dose.unit, dose.step) == ("Doses", "0.4", "s", 0.1)
    assert (climb.group, climb.number, climb.unit) == ("Climbs", "140", "degC")
    assert knob("first doses climb after").number == "60"
    assert knob("works water pressure").unit == "barg"
    assert knob("splice start").number == "145"
    assert knobs(TEXT, BOUNDS)[0].words == "splice fall rate at most"  # as the charts say it


def test_only_the_number_changes() -> None:
    dose, climb = knob("first doses mist open"), knob("first doses climb platen temperature <")
    found = turned(TEXT, {climb: "135", dose: "0.55"})
    assert "mist: {open: 0.55 s, shut: 3.6 s}, climb: after 60 s and platen_temperature < 135 degC}" in found
    assert [a == b for a, b in zip(TEXT.split("\n"), found.split("\n"), strict=True)].count(False) == 1
    assert turned(TEXT, {}) == TEXT


@pytest.mark.parametrize("text", ["", "title: {", "a: [", "bodies: 3", "bodies:\n  a: {start: [140 degC]}"])
def test_a_text_that_is_no_plan_has_none(text: str) -> None:
    assert knobs(text) == ()


def test_a_number_that_is_quoted_is_found_and_one_over_several_lines_is_left_alone() -> None:
    text = "bodies:\n  a: {start: '140 degC'}\n  b:\n    start: >-\n      150\n      degC\n"
    (found,) = knobs(text)
    assert turned(text, {found: "141"}).startswith("bodies:\n  a: {start: '141 degC'}")


def test_names_of_quantities_are_no_numbers() -> None:
    text = "circuit_types:\n  a:\n    stages:\n      - {climb: after 1 min and t2 < 3 barg for 2 s}\n"
    assert [(one.number, one.unit) for one in knobs(text)] == [("1", "min"), ("3", "barg"), ("2", "s")]
