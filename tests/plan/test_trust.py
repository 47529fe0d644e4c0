"""What a climb may trust: only sensors that read, unless the plan says otherwise."""

from __future__ import annotations

import pytest

from steadfall.plan.meaning.trust import climb_of, sensors_of
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.text.speak import speak
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
CLIMB = "after 45 s and outlet_temperature < 120 degC"

READS = "not (upper.outlet_temperature out of range)"


def plan(climb: str = CLIMB, **inputs: str) -> Plan:
    text = SMALL.replace(CLIMB, climb)
    for name, more in inputs.items():
        old = f"  {name}.outlet_temperature: {{kind: temperature, range: 0 .. 250 degC"
        assert old in text
        text = text.replace(old, f"{old}, {more}")
    return read_text(text)


def said(found: Plan, circuit: str = "upper") -> str:
    climb = climb_of(found, circuit, found.type_of(circuit).stages[0])
    assert climb is not None
    return speak(climb).replace("not upper.outlet_temperature out of range", READS)


@pytest.mark.parametrize(
    ("climb", "held"),
    [
        (CLIMB, f"{CLIMB} and {READS}"),
        ("after 45 s", "after 45 s"),
        ("outlet_temperature < 120 degC for 5 s", f"outlet_temperature < 120 degC and {READS} for 5 s"),
        (
            "after 45 s and (outlet_temperature < 120 degC for 5 s)",
            f"after 45 s and (outlet_temperature < 120 degC and {READS} for 5 s) and {READS}",
        ),
        (
            "after 9 min or outlet_temperature < 120 degC",
            f"(after 9 min or outlet_temperature < 120 degC) and {READS}",
        ),
        (
            "after 45 s and (outlet_temperature out of range or outlet_temperature < 120 degC)",
            "after 45 s and (outlet_temperature out of range or outlet_temperature < 120 degC)",
        ),
    ],
)
def test_a_bad_sensor_holds_the_climb_that_looks_at_it(climb: str, held: str) -> None:
    expected = held.replace("9 min", "9:00")
    assert said(plan(climb)) == expected


def test_an_input_that_goes_on_holds_nothing() -> None:
    found = plan(lower="when_bad: go on with 180 degC")
    assert said(found, "lower") == CLIMB
    assert sensors_of(found, "lower", found.type_of("lower").stages[0]) == ()
    (item,) = sensors_of(found, "upper", found.type_of("upper").stages[0])
    assert item.name == "upper.outlet_temperature"


def test_a_climb_by_a_ramp_trusts_the_sensor_of_the_ramp() -> None:
    text = SMALL.replace(CLIMB, "after 45 s and ramp > 50 %").replace(
        "calls:",
        "ramps:\n  ramp: {of: upper.outlet_temperature, when: full_call, fall: 4 K/min, to: 80 degC, band: "
        "10 K}\ncalls:",
    )
    assert said(read_text(text), "lower") == f"after 45 s and ramp > 50 % and {READS}"


def test_a_sensor_that_trips_has_a_trip_of_its_own() -> None:
    found = plan(lower="when_bad: trip, reset: reset_button")
    trip = found.trips[-1]
    assert (trip.name, speak(trip.when), speak(trip.reset)) == (
        "lower.outlet_temperature bad",
        "lower.outlet_temperature out of range",
        "reset_button",
    )
