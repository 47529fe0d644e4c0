"""`--only` takes a requirement by the name that it was given, as well as by the one that `prove` lists."""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_text
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.whole.run import pick
from steadfall.source import PlanError
from tests.examples import ROOT

SMALL = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8") + (
    "requirements:\n  - {never: upper.mist and not upper.sweep, name: no mist without air}\n"
)


@pytest.fixture(scope="module")
def of() -> Watched:
    return watched(read_text(SMALL))


@pytest.mark.parametrize(
    "typed", ["no mist without air", "stated.no_mist_without_air", "no_mist_without_air"]
)
def test_a_stated_requirement_by_its_name(of: Watched, typed: str) -> None:
    assert [one.name for one in pick(of, [typed])] == ["stated.no_mist_without_air"]


def test_a_trip_by_its_title(of: Watched) -> None:
    found = {one.name for one in pick(of, ["steam back-pressure"])}
    assert "trip.steam_back_pressure.latches" in found
    assert all("steam_back_pressure" in name for name in found)


def test_part_of_a_word_is_no_name(of: Watched) -> None:
    with pytest.raises(PlanError, match="'no mist' is no requirement"):
        pick(of, ["no mist"])
