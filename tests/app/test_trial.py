"""What a page is told of a trial is what happened, in units that people read, and no more than that."""

from __future__ import annotations

import pytest

from steadfall.app.page.refuted import Refuted
from steadfall.app.page.replay import BREAKS, Replaying, refuted
from steadfall.app.page.trial import Trying
from steadfall.app.plan import read_typed
from steadfall.plan.read.whole import read_text
from steadfall.quantities import US
from steadfall.source import AskError
from tests.examples import ROOT

SMALL = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8")
BROKEN = (
    f"{SMALL}requirements:\n  - {{never: upper.flood and not air_pressure_ok, name: no flood without air}}\n"
)


@pytest.fixture(scope="module")
def trying() -> Trying:
    """A trial in which full cooling was called, and a sensor taken away from the plant."""
    made = Trying(read_text(SMALL, "small.yaml"))
    made.until(100)
    made.do("full_call", "on")
    made.until(2000)
    made.do("upper.pressure", "8 barg")
    made.until(3000)
    return made


def test_news_are_told_once_and_all_of_it_when_asked_anew(trying: Trying) -> None:
    whole = trying.news(anew=True)
    assert trying.news()["changes"] == []
    names = [one["name"] for one in trying.sheet()["lanes"]]
    assert [100, names.index("full_call"), 1] in whole["changes"]
    trips = [names[of] for ms, of, to in whole["changes"] if to == 1 and ms >= 2000]
    assert "tripped" in trips
    assert whole["now_ms"] == 3000
    assert whole["held"] == {"full_call": "on", "upper.pressure": "8 barg"}
    assert whole["shown"]["upper.pressure"] == 8.0
    assert [ms for ms, *_ in whole["samples"]][-1] <= 3000
    assert 19 < whole["values"][trying.trial.curves.index("upper_platen")] < 161  # degC


def test_every_input_can_be_touched_and_says_how(trying: Trying) -> None:
    controls = {one["name"]: one for one in trying.sheet()["controls"]}
    assert set(controls) == {*trying.plan.inputs, "power"}
    assert controls["full_call"]["kind"] == "switch"
    assert controls["air_pressure_ok"]["usual"] == "on"
    sensor = controls["upper.pressure"]
    assert (sensor["kind"], sensor["unit"], sensor["usual"]) == ("sensor", "barg", "measured")
    for said in (f"{sensor['least']:g} barg", f"{sensor['most']:g} barg", "broken wire", "measured"):
        trying.do("upper.pressure", said)


def test_why_a_valve_is_shut_names_the_trip(trying: Trying) -> None:
    said = " ".join(trying.why("upper.mist", 3000).sentences())
    assert "steam back-pressure" in said


def test_what_was_done_is_kept_in_the_text(trying: Trying) -> None:
    text = trying.kept(SMALL, "small.yaml", "pressure too high")
    scenario = read_text(text, "small.yaml").scenarios["pressure too high"]
    assert scenario.until_ms == 4000  # the last act is at 3 s and not seen yet
    assert next(step.time_ms for step in scenario.steps) == 100


@pytest.fixture(scope="module")
def broken() -> Refuted:
    """How the air can go while water floods: the permissive shuts it, but a scan sees both."""
    plan = read_typed(BROKEN.replace("for: all water", "for: [upper.mist]"), "small.yaml")
    (found,) = refuted(plan.prove("stated.no_flood_without_air"))
    return found


def test_a_refuted_requirement_is_played_scan_by_scan_to_where_it_breaks(broken: Refuted) -> None:
    plan = read_text(BROKEN.replace("for: all water", "for: [upper.mist]"), "small.yaml")
    replay = Replaying(plan, broken)
    names = [one["name"] for one in replay.sheet()["lanes"]]
    for _ in range(len(replay.scans_ms)):
        replay.step()
    told = replay.news(anew=True)
    assert told["over"] == BREAKS
    assert told["now_ms"] == replay.sheet()["end_ms"] == replay.scans_ms[-1]
    last = {names[of]: to for _, of, to in told["changes"]}
    assert (last["upper.flood"], last["air_pressure_ok"]) == (1, 0)
    replay.back(replay.scans_ms[-2])
    assert replay.news(anew=True)["over"] == ""
    assert replay.why("upper.flood", replay.scans_ms[-1]).sentences()
    with pytest.raises(AskError, match="as it was found"):
        replay.do("full_call", "on")


def test_a_run_of_another_plan_is_not_played(broken: Refuted) -> None:
    with pytest.raises(AskError, match="prove it again"):
        Replaying(read_text(BROKEN, "small.yaml"), broken)
    with pytest.raises(AskError, match="prove it again"):
        Replaying(read_text(SMALL, "small.yaml"), broken)


def test_settings_are_kept_where_they_stood_so_from_the_start_on() -> None:
    text = (ROOT / "tests/plans/good/settings.yaml").read_text(encoding="utf-8")
    made = Trying(read_text(text, "settings.yaml"), "long doses")
    control = next(one for one in made.sheet()["controls"] if one["name"] == "dwell")
    assert (control["kind"], control["least"], control["most"]) == ("setting", 20.0, 120.0)
    assert made.news()["shown"]["first_dose"] == 1.6
    made.do("dwell", "30 s")
    made.until(1000)
    made.do("power", "lost")
    made.until(3000)
    assert made.news()["cuts"] == [[1000, 3000]]
    made.do("power", "back")
    made.until(4000)
    kept = made.kept(text, "settings.yaml", "power lost")
    scenario = read_text(kept, "settings.yaml").scenarios["power lost"]
    assert scenario.panel == {"first_dose": 1.6, "cool_enough": 373.15, "dwell": 30.0}
    assert [(step.time_ms, dict(step.values), dict(step.mishaps)) for step in scenario.steps] == [
        (20, {"full_call": 1.0}, {}),
        (1000, {}, {"power": "lost"}),
        (3000, {}, {"power": "back"}),
    ]
    made.do("first_dose", "1 s")
    made.until(4100)
    with pytest.raises(AskError, match="from the start on"):
        made.kept(text, "settings.yaml", "late")


def test_curves_are_told_in_the_units_that_a_person_reads() -> None:
    plan = read_text(SMALL, "small.yaml")
    usual, us = Trying(plan), Trying(plan, units=US)
    place = usual.trial.curves.index("upper_platen")
    assert us.sheet()["curves"][place]["unit"] == "°F"
    degC, degF = (made.news()["values"][place] for made in (usual, us))
    assert degF == pytest.approx(1.8 * degC + 32, abs=0.02)
