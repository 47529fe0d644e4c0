from collections.abc import Sequence
from pathlib import Path

import pytest

from steadfall.plan.advise.whole import ADVICE, advice
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.read.whole import read_text
from steadfall.source import Problem
from tests.listing import advice_of
from tests.plan.paths import ADVISED, GOOD

LOST = (
    "  - {{name: {0} sensor lost, when: {0}.outlet_temperature out of range for 1 s, reset: reset_button}}\n"
)
FULL = "      - {name: full, flood: open}"
CLEARING = "      - {name: clearing, sweep: open, climb: after 1 s and outlet_temperature < 115 degC}\n"
LOW = (
    "  - name: a sensor reads low\n"
    "    when: (upper.outlet_temperature < 90 degC and lower.outlet_temperature > 120 degC)\n"
    "      or (lower.outlet_temperature < 90 degC and upper.outlet_temperature > 120 degC)\n"
    "    reset: reset_button\n"
)
# The small plan with what a careful colleague would add to it.
CAREFUL = [
    ("trips:\n", "trips:\n" + LOST.format("upper") + LOST.format("lower") + LOW),
    (FULL, CLEARING + FULL),
    ("permissives:\n", "done: {when: upper.outlet_temperature < 60 degC for 30 s}\npermissives:\n"),
]


def _with(text: str, pairs: Sequence[tuple[str, str]]) -> str:
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


SMALL = _with(next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8"), CAREFUL)
DOSE = "sweep: open, mist: {open: 0.8 s, shut: 2.4 s}"
RAMP = (
    "ramps:\n  ramp: {of: upper.outlet_temperature, when: full_call, fall: 4 K/min, to: 80 degC, band: "
    "10 K}\ncalls:"
)
SHARED = "  - {demand: ramp, thresholds: {dosing: 2 %, full: 95 %}, hysteresis: 1 %}"

# slug -> what to change in the small plan to get that advice
CHANGES: dict[str, list[tuple[str, str]]] = {
    "air-blocks-water": [("pressure: 3 barg", "pressure: 4 barg")],
    "dose-without-air": [(DOSE, "mist: {open: 0.8 s, shut: 2.4 s}")],
    "clipped-dose": [("shut: 2.4 s}", "shut: 2.4 s, clock: free}")],
    "skipped-dose": [
        ("mist: {open: 0.8 s, shut: 2.4 s}", "mist: {share_of: ramp, cycle: 8 s}"),
        ("calls:", RAMP),
        ("  - {when: full_call, allows: full}", SHARED),
    ],
    "rated-below-supply": [
        ("rated: 10 barg", "rated: 3.5 barg"),
        ("upper.pressure > 7", "upper.pressure > 3"),
    ],
    "water-stays": [
        ("{name: blow_out, sweep: open,", "{name: waiting, sweep: shut,"),
        ("shortest_open: 300 ms, ", ""),  # else a dose lasts into the waiting
    ],
    "cold-start": [("    rated:", "    cold_start: idle\n    rated:")],
    "no-permissive": [
        ("permissives:\n  - {name: sweep air, needs: air_pressure_ok, for: all water}\n", ""),
        ("  air_pressure_ok: {kind: switch, normal: on}\n", ""),
    ],
    "no-pressure-trip": [("upper.pressure > 7 barg", "upper.pressure out of range")],
    "climb-by-time": [(" and outlet_temperature < 120 degC", ""), (" and outlet_temperature < 115 degC", "")],
    "unused": [("bodies:\n", "bodies:\n  lost: {mass: 3 kg, material: copper, start: 60 degC}\n")],
    "nothing-ends": [("done: {when: upper.outlet_temperature < 60 degC for 30 s}\n", "")],
    "stop-not-closed": [
        ("  full_call: {kind: switch}\n", "  full_call: {kind: button}\n  stop_button: {kind: button}\n"),
        ("  - {when: full_call, allows: full}", "  - {start: full_call, stop: stop_button, allows: full}"),
    ],
    "climb-on-one-sensor": [("lower.outlet_temperature > 120 degC", "lower.outlet_temperature < 120 degC")],
    "climb-on-lost-switch": [
        ("< 120 degC}", "< 120 degC and not hot}"),
        ("inputs:\n", "inputs:\n  hot: {kind: switch, measures: upper_platen above 95 degC}\n"),
    ],
    "goal-reached": [("below 70 degC", "below 170 degC")],
    "only-while-pressed": [("  full_call: {kind: switch}", "  full_call: {kind: button}")],
    "switch-before-valve": [
        ("travel: 1.5 s}", "travel: 1.5 s, feedback: {input: flood_is_open, within: 1 s}}"),
        (
            "inputs:\n",
            "inputs:\n  upper.flood_is_open: {kind: switch, measures: upper.flood.is_open}\n"
            "  lower.flood_is_open: {kind: switch, measures: lower.flood.is_open}\n",
        ),
        ("trips:\n", "trips:\n  - {name: flood, when: upper.flood.disagrees, reset: reset_button}\n"),
    ],
}


def changed(pairs: list[tuple[str, str]]) -> tuple[Problem, ...]:
    return advice(read_text(_with(SMALL, pairs)))


def test_the_careful_plan_needs_none() -> None:
    assert advice(read_text(SMALL)) == ()


@pytest.mark.parametrize("slug", CHANGES)
def test_advice(slug: str) -> None:
    found = changed(CHANGES[slug])
    assert {note.slug for note in found} == {slug}
    assert all(note.mark.line > 0 for note in found)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("supplies:\n", "supplies:\n  spare: {fluid: air, pressure: 1 barg, temperature: 20 degC}\n"),
        ("calls:", RAMP),
    ],
)
def test_more_that_is_unused(old: str, new: str) -> None:
    assert [note.slug for note in changed([(old, new)])] == ["unused"]


def test_a_pressure_switch_watches_a_pressure() -> None:
    sensor = "upper.pressure: {kind: pressure, range: 0 .. 16 barg}"
    switch = "steamy: {kind: switch, measures: upper.pressure above 7 barg}"
    assert changed([("upper.pressure > 7 barg", "steamy"), (sensor, switch)]) == ()


@pytest.mark.parametrize(
    ("section", "watch"),
    [
        ("trips:\n", "{name: low, when: not (BOTH), reset: reset_button}"),
        ("permissives:\n", "{name: reads well, needs: BOTH, for: all water}"),
    ],
)
def test_what_compares_a_sensor_with_another_watches_the_one_that_reads_low(section: str, watch: str) -> None:
    row = watch.replace("BOTH", "upper.outlet_temperature > 90 degC or lower.outlet_temperature < 120 degC")
    (told,) = changed([(LOW, ""), (section, f"{section}  - {row}\n")])
    assert (told.slug, told.read.split("'")[1]) == ("climb-on-one-sensor", "lower.outlet_temperature")


@pytest.mark.parametrize(("bound", "watched"), [("above", True), ("below", False)])
def test_a_thermostat_of_its_own_watches_a_sensor_that_reads_low(bound: str, watched: bool) -> None:
    switch = f"inputs:\n  hot: {{kind: switch, measures: upper_platen {bound} 100 degC, hysteresis: 3 K}}\n"
    rows = "".join(
        f"  - {{name: {one}, when: {one}.outlet_temperature < 90 degC and hot, reset: reset_button}}\n"
        for one in ("upper", "lower")
    )
    found = changed([(LOW, rows), ("inputs:\n", switch)])
    assert [one.slug for one in found] == ([] if watched else ["climb-on-one-sensor"])


def test_every_piece_of_advice_is_given_somewhere() -> None:
    woken = set()
    texts = [_with(SMALL, pairs) for pairs in CHANGES.values()]
    for text in (*texts, *(path.read_text(encoding="utf-8") for path in ADVISED)):
        plan = read_text(text)
        woken |= {one.__name__ for one in ADVICE if list(one(plan))}
    assert woken == {one.__name__ for one in ADVICE}


@pytest.mark.parametrize("plan", ADVISED, ids=lambda path: path.stem)
def test_listing(plan: Path) -> None:
    assert advice_of(plan) == plan.with_suffix(".expected").read_text(encoding="utf-8")


# What each piece of advice is silent about: a plan that differs in one number.
SILENT: dict[str, list[tuple[str, str]]] = {
    "goals_outdoors": [("below 14 degC", "below 15 degC")],
    "guards": [
        ("3.5 barg", "4.5 barg"),
        ("reset: full_call}", "reset: reset_button and not full_call}"),
        ("> 7", "> 6"),
    ],
    "hot_start": [("start: 160 degC", "start: 99 degC")],
    "lost_sensor": [("go on with 20 degC", "go on with 120 degC"), ("0 .. 65535", "0 .. 27648")],
    "outlasting": [
        ("after 0.5 s and", "after 0.6 s and"),
        ("standing, sweep: shut", "standing, sweep: open"),
    ],
}


@pytest.mark.parametrize("name", SILENT)
def test_no_advice_a_little_further_on(name: str) -> None:
    text = next(path for path in ADVISED if path.stem == name).read_text(encoding="utf-8")
    assert advice(read_text(_with(text, SILENT[name]))) == ()


@pytest.mark.parametrize(("bar", "kelvin"), [(1.0, 372.755919), (10.0, 453.035632), (100.0, 584.149488)])
def test_water_boils_where_the_release_says(bar: float, kelvin: float) -> None:
    """Check values of IAPWS R7-97(2012), table 36."""
    assert boils_at(bar * 1e5) == pytest.approx(kelvin, abs=5e-7)


def test_a_button_that_steps_on_leaves_a_stage_at_any_moment() -> None:
    text = next(path for path in GOOD if path.stem == "hand").read_text(encoding="utf-8")
    found = {one.key for one in advice(read_text(text)) if one.slug == "opening-outlasts"}
    without = text.replace("from: [dosing, soaking]}", "from: [dosing]}")
    assert "soaking" in found - {
        one.key for one in advice(read_text(without)) if one.slug == "opening-outlasts"
    }


def test_a_trip_may_be_set_above_the_rating() -> None:
    found = changed(
        [
            ("inputs:\n", "settings:\n  high: {default: 7 barg, adjustable: 5 barg .. 12 barg}\ninputs:\n"),
            ("upper.pressure > 7 barg", "upper.pressure > high"),
        ]
    )
    assert [one.read for one in found] == [
        "it may be set to trip at 12 barg, above the rated 10 barg of line 18"
    ]
