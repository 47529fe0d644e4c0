"""What becomes of a bad sensor is required of any controller: each seeded fault breaks a requirement."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import attrs
import pytest

from steadfall.logic import nodes
from steadfall.logic.build.readings import as_handed, si_of
from steadfall.logic.build.whole import build
from steadfall.logic.forms import TRUE
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node, Value
from steadfall.plan.read.whole import read_file, read_text
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL, PARTS
from steadfall.prove.decide import portfolio
from steadfall.prove.decide.ask import ONE_STEP
from steadfall.prove.decide.before.cache import Answer
from steadfall.prove.decide.result import PROVED
from steadfall.prove.engines import spacer
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.whole.run import prove
from steadfall.scan.interpreter import Scanner
from steadfall.source import PlanError
from steadfall.st.bring import bring
from steadfall.st.write.whole import structured_text
from tests.plan.paths import GOOD

PLAN = read_file(next(path for path in GOOD if path.stem == "bad_sensors"))
LOW, COLD = -6.25, 100.0  # a broken wire, and a reading at which a climb holds
SENSOR = "lower_platen_temperature"
BROKEN = -0.4  # what a pressure shows on a broken wire


def trusting(node: Node) -> Node:
    """A climb that looks at the sensor and not at whether it reads."""
    assert isinstance(node, nodes.And)
    kept = tuple(part for part in node.parts if getattr(part, "name", "") != f"{SENSOR}.good")
    assert len(kept) == len(node.parts) - 1
    return nodes.And(kept)


def blind(node: Node) -> Node:
    """A sensor that is always found good: what watches the climb looks for itself."""
    assert isinstance(node, nodes.And)
    return TRUE


FAULTS: Mapping[str, tuple[str, Callable[[Node], Node], str]] = {
    "a climb trusts a bad sensor": ("lower.dosing.climb", trusting, f"lower.dosing.trusts_{SENSOR}"),
    "a sensor is always good": (f"{SENSOR}.good", blind, f"lower.dosing.trusts_{SENSOR}"),
}


def handed(name: str, value: float) -> float:
    """What the controller is handed for a value in the unit of the range."""
    item = PLAN.inputs[name]
    return as_handed(item, si_of(item, value))


def called(network: Network, sensors: Mapping[str, float]) -> Iterator[Mapping[str, Value]]:
    """Every scan of a call of 50 s, some sensors showing this, in degC and barg."""
    scanner = Scanner(network)
    usual = {SENSOR: COLD, "upper.pressure": 1.0}
    usual |= {f"{one}.outlet_temperature": COLD for one in PLAN.circuits}
    shown = {name: handed(name, value) for name, value in {**usual, **sensors}.items()}
    for second in range(50):
        given = {"full_call": second > 0, "air_pressure_ok": True, "reset_button": False}
        yield dict(scanner.scan(1000, {**given, **shown}))


@pytest.mark.parametrize("fault", FAULTS)
def test_a_seeded_fault_breaks_its_requirement(fault: str) -> None:
    signal, change, broken = FAULTS[fault]
    right = build(PLAN)
    assert signal in right.rows
    rows = [
        attrs.evolve(row, node=change(row.node)) if row.name == signal else row for row in right.assignments
    ]
    for network, faulty in ((attrs.evolve(right, assignments=tuple(rows)), True), (right, False)):
        of = watched(PLAN, network)
        (asked,) = (row for row in of.required if row.name == broken)
        assert any(values[asked.bad] for values in called(of.network, {SENSOR: LOW})) is faulty


def climbs_after(**sensors: float) -> dict[str, bool]:
    """Whether each circuit has climbed once everything has had its time."""
    *_, values = called(build(PLAN), {name.replace("__", "."): value for name, value in sensors.items()})
    return {name: values[f"{name}.stage"] == 2 for name in PLAN.circuits}


def test_a_climb_waits_for_a_sensor_that_reads() -> None:
    assert climbs_after() == {"upper": True, "lower": True}
    assert climbs_after(**{SENSOR: LOW}) == {"upper": False, "lower": False}
    assert climbs_after(upper__outlet_temperature=LOW) == {"upper": False, "lower": True}


def test_a_value_stands_in_for_a_bad_sensor() -> None:
    assert climbs_after(lower__outlet_temperature=LOW) == {"upper": True, "lower": False}


def test_a_sensor_may_trip() -> None:
    scanner = Scanner(build(PLAN))
    for pressure, tripped in ((1.0, False), (-0.4, True), (1.0, True)):
        values = scanner.scan(20, {"upper.pressure": pressure, "air_pressure_ok": True})
        assert values["tripped"] is tripped


def test_the_text_has_the_value_in_its_place() -> None:
    text = structured_text(PLAN).text
    assert "measured values" in text
    assert "lower_outlet_temperature_value" in text


def test_a_filter_goes_its_share_of_the_way_and_begins_anew_on_a_sensor_that_reads() -> None:
    scanner = Scanner(build(PLAN))
    course = [(20, 1.0), (20, 2.0), (20, 2.0), (20, BROKEN), (20, 5.0), (40, 9.0)]
    found = [scanner.scan(dt, {"upper.pressure": shown})["upper.pressure.value"] for dt, shown in course]
    assert found == pytest.approx([1.0, 1.01, 1.0199, BROKEN, 5.0, 5.08])


def test_a_filter_is_a_first_order_lag() -> None:
    """One time constant after a step it has gone 1 - 1/e = 63.2 % of the way (any control textbook)."""
    scanner = Scanner(build(PLAN))
    scanner.scan(20, {"upper.pressure": 0.0})
    for _ in range(100):
        found = scanner.scan(20, {"upper.pressure": 10.0})["upper.pressure.value"]
    assert found == pytest.approx(6.32, abs=0.03)


def test_the_text_of_a_filter_is_the_plan_for_ever(tmp_path: Path) -> None:
    code = tmp_path / "controller.st"
    code.write_text(structured_text(PLAN).text, encoding="ascii")
    found = compare(PLAN, build(PLAN), bring(PLAN, code))
    assert (found.verdict, found.rechecked) == (EQUAL, True)


def test_a_value_is_worked_out_on_the_line_through_both_ends_of_the_range() -> None:
    """4 .. 20 mA and 0 .. 27648 counts, of 0 .. 250 degC: by hand."""
    scanner = Scanner(build(PLAN))
    found = scanner.scan(20, {"upper.outlet_temperature": 12.0, "lower.outlet_temperature": 6912.0})
    assert found["upper.outlet_temperature.value"] == 125.0
    assert found["lower.outlet_temperature.value"] == pytest.approx(62.5, abs=1e-9)


@pytest.mark.parametrize(
    ("counts", "value"), [(-300.0, -2.712674), (-399.0, -3.607856), (-400.0, 180.0), (28600.0, 180.0)]
)
def test_whether_a_sensor_is_bad_is_judged_by_what_is_handed_over(counts: float, value: float) -> None:
    """Good is what lies above -400, as the plan says, and below 28512: 20.5 mA of a loop from 4 to 20."""
    scanner = Scanner(build(PLAN))
    found = scanner.scan(20, {"lower.outlet_temperature": counts})["lower.outlet_temperature.value"]
    assert found == pytest.approx(value, abs=1e-6)


def test_runs_hand_over_what_stands_at_the_limits_of_the_value() -> None:
    """A climb below 120 degC is one below 11.68 mA."""
    handed = rig(PLAN, build(PLAN)).choices["upper.outlet_temperature"]
    assert 11.68 in handed
    assert min(handed) < 4.0
    assert max(handed) > 20.0


@pytest.mark.parametrize(("current", "good"), [(3.6, False), (3.61, True), (20.99, True), (21.0, False)])
def test_the_plan_may_say_from_where_on_a_sensor_is_bad(current: float, good: bool) -> None:
    scanner = Scanner(build(PLAN))
    assert scanner.scan(20, {"upper.outlet_temperature": current})["upper.outlet_temperature.good"] is good


def test_the_text_judges_a_sensor_once() -> None:
    """The ends stand in it by name, and in one place."""
    text = structured_text(PLAN).text
    assert "UPPER_OUTLET_BAD_BELOW : REAL := 3.6;" in text
    assert text.count(" UPPER_OUTLET_BAD_BELOW)") == 1
    assert "AND outlet_temperature_good" in text


def test_what_one_step_of_the_whole_excludes_is_asked_of_no_other_engine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing but the trip keeps the water shut here, which a part of the controller does not show."""

    def asked(*_: object) -> Answer:
        raise AssertionError("the fixed point was asked")

    sensor = "upper.outlet_temperature: {kind: temperature, range: 0 .. 250 degC"
    text = next(path for path in GOOD if path.stem == "bad_sensors").read_text(encoding="utf-8")
    assert sensor in text
    monkeypatch.setattr(portfolio, "TRIES", {**portfolio.TRIES, spacer.NAME: asked})
    name = "stated.no_pressure_unseen"
    proof = prove(read_text(text.replace(sensor, f"{sensor}, filter: 2 s")), only=[name], workers=1)
    (verdict,) = proof.verdicts
    assert (verdict.verdict, verdict.engine) == (PROVED, ONE_STEP)


def test_a_sensor_whose_counts_are_its_unit_is_proved_equal_in_its_text_too(tmp_path: Path) -> None:
    """Nobody multiplies by one: a text that does is read as one that does not."""
    told = "measures: lower_platen, range: 0 .. 250 degC"
    plan = read_text(PLAN.text.replace(told, f"{told}, raw: 0 .. 250"))
    assert plan.inputs[SENSOR].raw is not None
    code = tmp_path / "controller.st"
    code.write_text(structured_text(plan).text, encoding="ascii")
    assert compare(plan, build(plan), bring(plan, code)).verdict == EQUAL


@pytest.mark.parametrize(
    ("current", "flow"), [(20.0, 80.0), (8.0, 40.0), (5.0, 20.0), (4.022, 0.0), (4.023, 3.033), (3.7, 0.0)]
)
def test_a_flow_is_the_root_of_its_pressure_drop_above_the_cut_off(current: float, flow: float) -> None:
    """A quarter of the pressure drop is half the flow (Bernoulli); 3 of 80 kg/min hand over 4.0225 mA."""
    found = Scanner(build(PLAN)).scan(20, {"upper.water_flow": current})
    assert found["upper.water_flow.unfiltered"] == pytest.approx(flow, abs=1e-3)


def test_a_filtered_root_begins_anew_after_a_broken_wire() -> None:
    """There no flow may be a broken wire: what it showed is not remembered."""
    scanner, found = Scanner(build(PLAN)), list[float]()
    for current in (8.0, 20.0, 3.5, 8.0, 8.0):
        found.append(scanner.scan(20, {"upper.water_flow": current})["upper.water_flow.value"])
    assert found == pytest.approx([40.0, 40.8, 0.0, 40.0, 40.0])


def test_counts_are_whole_numbers_in_the_text() -> None:
    text = structured_text(PLAN).text
    assert "lower_outlet_temperature : INT;" in text
    assert "INT_TO_REAL(lower_outlet_temperature)" in text
    assert "upper_outlet_temperature : REAL;" in text
    wide = PLAN.text.replace("raw: 0 .. 27648", "raw: 0 .. 65535")
    assert "lower_outlet_temperature : UINT;" in structured_text(read_text(wide)).text


COUNTS: Mapping[str, tuple[tuple[str, str], str]] = {
    "another gain": (
        ("_PER_RAW : REAL := 0.009", "_PER_RAW : REAL := 0.008"),
        PARTS,
    ),
    "compared as a whole number": (
        ("INT_TO_REAL(lower_outlet_temperature) > LOWER_OUTLET_BAD_BELOW", "lower_outlet_temperature > -400"),
        EQUAL,
    ),
}


@pytest.mark.parametrize("case", COUNTS)
def test_a_text_that_works_otherwise_with_what_it_is_handed_is_told(case: str, tmp_path: Path) -> None:
    (old, new), verdict = COUNTS[case]
    text = structured_text(PLAN).text
    assert old in text
    code = tmp_path / "controller.st"
    code.write_text(text.replace(old, new), encoding="ascii")
    found = compare(PLAN, build(PLAN), bring(PLAN, code))
    assert found.verdict == verdict


def test_counts_that_are_added_up_are_refused(tmp_path: Path) -> None:
    text = structured_text(PLAN).text
    code = tmp_path / "controller.st"
    told = "INT_TO_REAL(lower_outlet_temperature)"
    code.write_text(text.replace(told, "INT_TO_REAL(lower_outlet_temperature + 1)"), encoding="ascii")
    with pytest.raises(PlanError) as one:
        bring(PLAN, code)
    (problem,) = one.value.problems
    assert problem.read == "the counts 'lower.outlet_temperature' are worked with as a whole number"
    assert problem.example == "INT_TO_REAL(lower.outlet_temperature)"
