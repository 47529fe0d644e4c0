"""Switches, permissives and trips in the report: strips and a list."""

import re

import pytest

from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.report.figure.sheets import rows
from steadfall.report.page.prediction import page
from steadfall.report.words.happened import events, wanted
from steadfall.report.words.plan import contents
from tests.plan.paths import GOOD
from tests.plan.test_good import good

PLAN = read_text(next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def tripped() -> Prediction:
    """A pressure sensor shows too much at 55 s; reset at 60 s."""
    return predict(PLAN, "sensor lost", coarse(PLAN))


def test_events_in_order_of_time(tripped: Prediction) -> None:
    found = events(tripped)
    assert found[:2] == [("0:00.000", "air pressure ok", "on"), ("0:00.100", "full call", "on")]
    later = [(words, value) for _, words, value in found[2:]]
    trip = [("trip: steam back-pressure", "on"), ("tripped", "on")]
    assert later == [*trip, ("reset button", "on"), (trip[0][0], "off"), ("tripped", "off")]
    assert found[2][0].startswith("0:55")


def test_a_strip_for_each(tripped: Prediction) -> None:
    (controller,) = (row for row in rows(tripped) if row.title == "controller")
    assert [(lane.label, lane.count) for lane in controller.lanes] == [
        ("full call", "on 1 ×"),
        ("air pressure ok", "on 1 ×"),
        ("reset button", "on 1 ×"),
        ("trip: steam back-…", "on 1 ×"),
        ("tripped", "on 1 ×"),
    ]


def test_the_page_lists_them(tripped: Prediction) -> None:
    table = re.search('<section id="events">.*?</section>', page(tripped), re.S)
    assert table
    assert table.group().count("<tr>") == 1 + len(events(tripped))


def test_alarms_and_steady_outputs_are_watched_too() -> None:
    named = [one.words for one in wanted(good("outputs"))]
    alarms = ["alarm: steam back-pressure", "alarm: air pressure low", "alarm: outlet hot"]
    outputs = ["cooling lamp", "press may open", "pump", "alarm lamp", "horn", "air first"]
    assert named[-len(alarms) - len(outputs) :] == alarms + outputs  # the trip lamp flashes


def test_main_valves_and_pumps_are_among_what_happened() -> None:
    plan = read_file(next(path for path in GOOD if path.stem == "supply_side"))
    told = [row for row in wanted(plan) if row.name in (*plan.main_valves, *plan.pumps)]
    assert [row.words for row in told] == [
        "main valve: water main",
        "main valve: air main",
        "pump: booster",
        "pump: compressor",
    ]
    assert told[0].values == ("shut", "open")
    assert "2 main valves, 2 pumps" in contents(plan)
