"""Help while a plan is typed: what may stand here, and what a key means."""

from __future__ import annotations

import pytest

from steadfall.app.page.hints import completions, explained

FLOW = "scan: {nominal: 20 ms, "


def labels(text: str) -> list[str]:
    return [hint.label for hint in completions(text, len(text))]


@pytest.mark.parametrize(
    ("text", "some"),
    [
        ("", {"steadfall", "title", "scan", "circuits"}),
        ("ci", {"circuit_types", "circuits"}),
        (FLOW, {"nominal", "longest", "timer_step"}),
        ("supplies:\n  water:\n    ", {"fluid", "pressure", "temperature"}),
        ("supplies:\n  water: {fluid: ", {"water", "air"}),
        ("trips:\n  - ", {"name", "when", "reset"}),
        ("requirements:\n  - ", {"never", "exclusive"}),
        ("restart: ", {"only by a new call", "by itself"}),
        ("circuit_types:\n  a:\n    valves:\n      mist: {kv: 1 m3/h, ", {"travel", "supply"}),
    ],
)
def test_what_may_stand_here(text: str, some: set[str]) -> None:
    assert some <= set(labels(text))


def test_what_is_typed_already_narrows_it() -> None:
    assert labels(f"{FLOW}lo") == ["longest"]
    assert labels("zz") == []
    assert labels("not_a_key:\n  ") == []


@pytest.mark.parametrize(
    ("text", "offset", "label"),
    [
        (f"{FLOW}longest: 40 ms}}", 1, "scan"),
        (f"{FLOW}longest: 40 ms}}", 9, "nominal"),
        (f"{FLOW}longest: 40 ms}}", 17, "nominal"),  # its value
        (f"{FLOW}longest: 40 ms}}", 25, "longest"),
    ],
)
def test_what_a_key_means(text: str, offset: int, label: str) -> None:
    found = explained(text, offset)
    assert found is not None
    assert found.label == label
    assert found.says
    assert found.example


def test_a_name_of_the_plan_has_no_explanation() -> None:
    assert explained("supplies:\n  works_water: {fluid: water}", 13) is None


def test_it_says_what_must_be_given_and_what_holds_without_it() -> None:
    by_name = {hint.label: hint for hint in completions("", 0)}
    assert by_name["title"].needed
    assert by_name["restart"].default == "only by a new call"
    assert by_name["restart"].as_json()["says"] == by_name["restart"].says
