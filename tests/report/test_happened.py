"""Switches, permissives and trips in the report: strips and a list."""

import re

import numpy as np
import pytest
from attrs import evolve

from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.report.figure.lanes import WORDS_ROW, draw_lanes
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.sheets import rows
from steadfall.report.page.prediction import page
from steadfall.report.words.happened import Watched, changing, events, steady, wanted
from steadfall.report.words.names import spoken
from steadfall.report.words.plan import contents
from steadfall.trace.trace import Trace, Track
from tests.plan.paths import GOOD
from tests.plan.test_good import good

PLAN = read_text(next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def tripped() -> Prediction:
    """A pressure sensor shows too much at 55 s; reset at 60 s."""
    return predict(PLAN, "sensor lost", coarse(PLAN))


def test_events_in_order_of_time(tripped: Prediction) -> None:
    found = events(tripped)
    assert found[:2] == [("0:00.000", "permissive: sweep air", "on"), ("0:00.100", "full call", "on")]
    later = [(words, value) for _, words, value in found[2:]]
    trip = [("trip: steam back-pressure", "on"), ("tripped", "on")]
    assert later == [*trip, ("reset button", "on"), (trip[0][0], "off"), ("tripped", "off")]
    assert found[2][0].startswith("0:55")


def test_a_strip_for_each_that_changed_and_a_sentence_of_the_others(tripped: Prediction) -> None:
    (controller,) = (row for row in rows(tripped) if row.title == "controller")
    assert [(lane.label, lane.count) for lane in controller.lanes] == [
        ("full call", "on 1 ×"),
        ("reset button", "on 1 ×"),
        ("trip: steam back-\npressure", "on 1 ×"),
        ("tripped", "on 1 ×"),
    ]
    assert controller.said == "On all the time: permissive: sweep air."
    words = draw_lanes(controller, 0.0, Scale(0, 60_000, 100.0, 900.0))
    assert controller.said in words
    more = controller.height(800.0) - evolve(controller, said="").height(800.0)
    assert more == len(controller.lines(800.0)) * WORDS_ROW > 0


def track(name: str, values: tuple[bool, ...]) -> Track:
    return Track(name, "bool", "", np.arange(len(values)) * 500, np.array(values))


def test_what_never_was_is_said_after_what_always_was() -> None:
    was = {
        "reset_button": (False,),
        "water_main": (False,),
        "roll_turns": (True, True),
        "horn": (False, True),
    }
    trace = Trace({name: track(name, values) for name, values in was.items()}, 1_000)
    seen = [Watched(name, spoken(name)) for name in ("reset_button", "roll_turns", "horn")]
    seen.append(Watched("water_main", "main valve: water main", ("shut", "open")))
    said = "On all the time: roll turns. Never on: reset button. Never open: main valve: water main."
    assert steady(trace, seen) == said
    assert [one.name for one in changing(trace, seen)] == ["horn"]


def test_a_permissive_by_a_single_input_is_listed_once() -> None:
    named = [one.name for one in wanted(PLAN)]
    assert named.count("air_pressure_ok") == 1
    assert Watched("air_pressure_ok", "permissive: sweep air") in wanted(PLAN)


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
