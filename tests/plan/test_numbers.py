"""Every number of a plan: where it stands, what it can be, and the plan with another in its place."""

from pathlib import Path

import attrs
import pytest

from steadfall.plan.check.whole import check
from steadfall.plan.keys import kinds, numbers
from steadfall.plan.keys.numbers import parameters, tolerances
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import After, Compare
from steadfall.plan.problems import Problems
from steadfall.plan.read.whole import read_file, read_text
from steadfall.plan.write.whole import write
from tests.plan.paths import CLEAN, GOOD, ROOT

PRESS = ROOT / "examples" / "press.yaml"


@pytest.fixture(scope="module")
def press() -> Plan:
    return read_file(PRESS)


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.stem)
def test_each_number_is_put_where_it_is_got(path: Path) -> None:
    plan = read_file(path)
    for one in parameters(plan).values():
        value = one.get(plan)
        assert one.put(plan, value) == plan, one.name
        assert one.span.least <= value <= one.span.most, one.name
        other = one.put(plan, value + (one.span.step or 0.125))
        assert other != plan, one.name
        assert one.get(other) != value, one.name
        assert one.put(other, value) == plan, one.name


def test_names_and_values_are_those_of_the_text(press: Plan) -> None:
    known = {one.name: one for one in parameters(press).values()}
    for name, value, dimension in (
        ("ambient", 295.15, "temperature"),
        ("bodies.splice.mass", 45.0, "mass"),
        ("bodies.splice.inner.half_thickness", 0.009, "length"),
        ("links.upper_platen.splice.conductance", 850.0, "conductance"),
        ("circuit_types.platen_circuit.stages.first_doses.mist.open", 0.4, "time"),
        ("circuit_types.platen_circuit.stages.first_doses.climb.after", 60.0, "time"),
        ("circuit_types.platen_circuit.stages.first_doses.climb.platen_temperature", 413.15, "temperature"),
        ("circuit_types.platen_circuit.path.passes", 2.0, ""),
        ("scenarios.air lost.steps.2.at", 360.0, "time"),
    ):
        assert known[name].get(press) == pytest.approx(value), name
        assert known[name].span.dimension == dimension, name
    assert not [name for name in known if name.startswith("materials")], "no built-in solid is the plan's own"


def test_a_changed_plan_says_what_was_put(press: Plan) -> None:
    dose = parameters(press)["circuit_types", "platen_circuit", "stages", "first_doses", "mist", "open"]
    plan = read_text(write(dose.put(press, 0.5)))
    assert plan == dose.put(press, 0.5)
    assert dose.get(plan) == 0.5
    problems = Problems()
    check(plan, problems)
    assert not problems


def test_what_timers_count_moves_by_their_step(press: Plan) -> None:
    """The press counts in 10 ms; lengths of a scenario are no presets."""
    known = {one.name: one for one in parameters(press).values()}
    dose = known["circuit_types.platen_circuit.stages.first_doses.mist.open"]
    assert dose.span.step == pytest.approx(0.01)
    assert dose.get(dose.put(press, 0.4149)) == pytest.approx(0.41)
    after = known["circuit_types.platen_circuit.stages.first_doses.climb.after"]
    assert after.get(after.put(press, 61.004)) == 61.0
    assert known["scenarios.air lost.longest"].span.step == 0.001


def test_every_kind_of_number_is_found() -> None:
    """What a plan holds and no walk finds would be a number that nobody can vary."""
    held = {*kinds.Kind.__args__} - set(numbers._KINDS)
    assert held == {
        *(kinds.Text, kinds.Ref, kinds.Solid, kinds.Refs, kinds.Words, kinds.Pattern),
        *(kinds.Measure, kinds.Span, kinds.Bound),
    }
    found = {
        (type(one.owner(plan)), one.way[-1])
        for plan in map(read_file, CLEAN)
        for one in parameters(plan).values()
    }
    for section in SECTIONS.values():
        for field in attrs.fields(section.makes) if section.makes else ():
            if field.type in ("float", "int", "float | None", "int | None"):
                pair = section.makes, field.name
                assert pair in found or pair in NOT_STATED, pair
    assert {(Compare, "value"), (After, "ms")} <= found


NOT_STATED = {
    (SECTIONS["tolerance"].makes, "value"),  # says how far another number may be off
    (SECTIONS["limit"].makes, "window"),  # follows from the unit where it is not given
}


def test_a_valve_called_like_the_outlet_has_a_tolerance_of_its_own() -> None:
    """`platen_circuit.outlet.kv` would be two numbers: each then goes by its place."""
    text = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
    plan = read_text(text.replace("mist", "outlet"))
    known = tolerances(plan)
    assert "platen_circuit.outlet.kv" not in known
    valve = known["circuit_types.platen_circuit.valves.outlet.kv"]
    drain = known["circuit_types.platen_circuit.outlet.kv"]
    assert valve.get(plan) == plan.circuit_types["platen_circuit"].valves["outlet"].kv
    assert drain.get(plan) == plan.circuit_types["platen_circuit"].outlet.kv
