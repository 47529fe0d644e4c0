"""Words are broken where names can be, and never wider than their room."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from steadfall.report.sketch.letters import CUT, Look, whole, width, wrapped


@given(some.text("abM_. 12,", max_size=60), some.floats(20, 200), some.integers(1, 4))
def test_no_line_is_wider_than_its_room(text: str, room: float, most: int) -> None:
    made = wrapped(text, room, Look.SMALL, most)
    assert len(made) <= most
    assert all(width(line, Look.SMALL) <= room for line in made)
    if not any(CUT in line for line in made):
        assert "".join(made).replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("upper.platen_temperature", ("upper.platen_", "temperature")),
        (f"water, {whole('21.6 mm')}", ("water,", whole("21.6 mm"))),
    ],
)
def test_lines_end_where_names_can(text: str, made: tuple[str, ...]) -> None:
    assert wrapped(text, max(width(line, Look.SMALL) for line in made) + 1, Look.SMALL) == made


def test_a_line_that_is_too_long_ends_in_dots() -> None:
    assert wrapped("a_very_long_name_that_goes_on", 60, Look.SMALL, 1)[0].endswith(CUT)
