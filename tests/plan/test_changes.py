"""What two revisions say differently, and which names they have for one thing."""

from __future__ import annotations

import pytest

from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.revise.changes import Change, changes
from steadfall.plan.revise.mapped import mapped
from steadfall.plan.revise.renames import Renamed, guessed, names_of
from steadfall.source import PlanError
from tests.plan.paths import GOOD
from tests.prove.revisions import REVISIONS, press, revised

# The names that have changed, as the text of the revision was made.
RENAMED = {
    "stage renamed": {("stage", "soaking", "steady_mist")},
    "valve renamed": {("valve", "mist", "spray")},
    "circuit renamed": {
        ("circuit", "upper", "top"),
        ("body", "upper_platen", "top_platen"),
        ("trip", "steam back-pressure in the upper platen", "steam back-pressure in the top platen"),
        ("alarm", "upper takes water unasked", "top takes water unasked"),
        ("alarm", "upper has no air", "top has no air"),
        ("alarm", "upper sensor reads low", "top sensor reads low"),
    },
    "input renamed": {("input", "full_call", "strong_call")},
    "trip reworded": {("trip", "steam back-pressure in the upper platen", "upper platen boils over")},
}

# Place, first, second.
SAID = {
    "dose changed": [
        ("circuit_types: platen_circuit: stages: first_doses: mist: open", "400 ms", "500 ms"),
        ("circuit_types: platen_circuit: stages: first_doses: mist: shut", "3.6 s", "3.5 s"),
    ],
    "finish shortened": [("circuit_types: platen_circuit: finish: blow_out: for", "20 s", "15 s")],
    "permissive dropped": [
        ("permissives: sweep air", "name: sweep air, needs: air_pressure_ok, for: all water", "")
    ],
    "splice heavier": [("bodies: splice: mass", "45 kg", "50 kg")],
    "words alone": [],
    "input renamed": [],
    "valve renamed": [],
    "circuit renamed": [],
    "stage renamed": [],
    "trip reworded": [],
}


@pytest.mark.parametrize("name", REVISIONS)
def test_names_that_have_changed_are_found_and_no_others(name: str) -> None:
    for one, two, swapped in ((press(), revised(name), False), (revised(name), press(), True)):
        found = {
            (row.kind, *(reversed(row.words) if swapped else row.words)) for row in guessed(one, two).rows
        }
        assert found == RENAMED.get(name, set())


@pytest.mark.parametrize("name", SAID)
def test_what_is_said_differently(name: str) -> None:
    found = changes(press(), revised(name), guessed(press(), revised(name)))
    assert [(row.where, row.first, row.second) for row in found] == SAID[name]
    back = changes(revised(name), press(), guessed(revised(name), press()))
    assert [(row.where, row.second, row.first) for row in back] == SAID[name]


def test_a_stage_that_only_one_has_is_told_in_its_place() -> None:
    (row,) = changes(press(), revised("stage added"))
    assert row.where == "circuit_types: platen_circuit: stages: short_pauses"
    assert row.first == ""
    assert row.second.startswith(
        "name: short_pauses, sweep: open, mist: {open: 1.2 s, shut: 1 s, clock: restart}"
    )
    assert row.of_controller


def test_what_the_controller_is_not_made_of_is_told_apart() -> None:
    assert not changes(press(), revised("splice heavier"))[0].of_controller
    assert all(row.of_controller for row in changes(press(), revised("call added")))
    assert all(row.of_controller for row in changes(press(), revised("valve added")))


def test_another_switch_in_another_place_is_not_taken_for_a_new_name() -> None:
    text = press().text.replace("\ninputs:\n", "\ninputs:\n  door_shut: {kind: switch, normal: on}\n")
    text = text.replace("needs: air_pressure_ok,", "needs: door_shut and full_call,")
    text = text.replace("  air_pressure_ok: {kind: switch, normal: on}\n", "")
    text = text[: text.index("\nscenarios:")] + text[text.index("\nrequirements:") :]
    assert guessed(press(), read_text(text)).rows == ()


def test_a_map_says_which_names_are_the_same() -> None:
    two = revised("input renamed")
    names = mapped({"strong_call": "gentle_call", "lower.mist": "lower.flood"}, "map.yaml", press(), two)
    assert names.in_first("strong_call") == "gentle_call"
    assert names.in_first("lower.mist.dose_open") == "lower.flood.dose_open"
    assert names.in_second("lower.flood") == "lower.mist"
    assert names.in_first("upper.mist") == "upper.mist"


def test_a_map_that_does_not_fit_is_told_line_by_line() -> None:
    with pytest.raises(PlanError) as caught:
        mapped(
            {"strong_cal": "full_call", "upper": "full_call"}, "map.yaml", press(), revised("input renamed")
        )
    slugs = [(problem.slug, problem.mark.line) for problem in caught.value.problems]
    assert slugs == [("unknown-name", 1), ("wrong-kind", 2)]
    assert "did you mean 'strong_call'?" in str(caught.value)


def test_what_the_controller_is_made_of_stands_in_the_table_of_keys() -> None:
    for place, made in (
        ("scan: longest", True),
        ("circuits: upper: delay_doses", True),
        ("circuits: upper: host", False),
        ("circuit_types: platen_circuit: stages: full: flood", True),
        ("circuit_types: platen_circuit: valves: mist: feedback: within", True),
        ("circuit_types: platen_circuit: valves: mist: kv", False),
        ("circuit_types: platen_circuit: valves: mist", True),
        ("circuit_types: platen_circuit: path: bore", False),
        ("inputs: full_call: range", True),
        ("inputs: upper.pressure: lag", False),
        ("bodies: splice", False),
    ):
        assert Change(tuple(place.split(": ")), "1", "2").of_controller is made, place


def good(stem: str, *pairs: tuple[str, str]) -> Plan:
    text = next(path for path in GOOD if path.stem == stem).read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return read_text(text)


@pytest.mark.parametrize(
    ("stem", "pairs", "found"),
    [
        ("settings", (("first_dose", "spurt"),), {("setting", "first_dose", "spurt")}),
        ("outputs", (("cooling_lamp", "blue_lamp"),), {("output", "cooling_lamp", "blue_lamp")}),
        (
            "outputs",
            (("name: outlet hot", "name: hot outlet"), ("alarm.outlet_hot", "alarm.hot_outlet")),
            {("alarm", "outlet hot", "hot outlet")},
        ),
        (
            "outputs",
            (("name: steam back-pressure", "name: too much"), ("steam_back_pressure", "too_much")),
            {("trip", "steam back-pressure", "too much")},
        ),
    ],
)
def test_settings_outputs_and_alarms_are_followed(
    stem: str, pairs: tuple[tuple[str, str], ...], found: set[tuple[str, str, str]]
) -> None:
    one, two = good(stem), good(stem, *pairs)
    names = guessed(one, two)
    assert {(row.kind, row.first, row.second) for row in names.rows} == found
    assert changes(one, two, names) == ()
    signals = {names.in_first(name) for name in build(two).types}
    assert signals == set(build(one).types)


def test_what_is_made_of_a_title_goes_by_the_title() -> None:
    names = names_of([Renamed("trip", "steam back-pressure", "too much")])
    assert names.in_first("trip.too_much") == "trip.steam_back_pressure"
    assert names.in_first("alarm.too_much.unacknowledged") == "alarm.steam_back_pressure.unacknowledged"
    assert names.in_second("trip.steam_back_pressure") == "trip.too_much"
