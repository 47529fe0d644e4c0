"""Good plans: one for each thing that a plan must be able to say."""

import hashlib
import re
from pathlib import Path

import pytest

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import CircuitType, Demand, Dose, Limit, Permissive, Plan, Share
from steadfall.plan.model.upset import Wrong
from steadfall.plan.read.whole import read_file, read_text
from steadfall.plan.write.whole import write
from tests.plan.paths import CLEAN, GOOD


def good(name: str) -> Plan:
    return read_file(next(path for path in GOOD if path.stem == name))


def only(plan: Plan) -> CircuitType:
    return next(iter(plan.circuit_types.values()))


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.stem)
def test_is_read_and_written_and_read_as_the_same(path: Path) -> None:
    plan = read_file(path)
    text = write(plan)
    again = read_text(text)
    assert again == plan
    assert write(again) == text


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.stem)
def test_line_ends_and_byte_order_mark_change_nothing(path: Path, tmp_path: Path) -> None:
    plan = read_file(path)
    copy = tmp_path / "plan.yaml"
    copy.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert read_file(copy) == plan


def test_the_digest_is_of_the_text() -> None:
    path = GOOD[0]
    assert read_file(path).digest == hashlib.sha256(path.read_bytes()).hexdigest()


def test_small() -> None:
    plan = good("small")
    path = only(plan).path
    assert (path.bore, path.passes, path.bends, path.roughness) == (0.012, 1, 0, 5e-5)
    assert plan.bodies["upper_platen"].heat_capacity == plan.materials["carbon steel"].heat_capacity
    assert plan.calls[0].circuits == ("upper", "lower")
    assert plan.inputs["upper.pressure"].measures == "upper.pressure"
    assert plan.inputs["air_pressure_ok"].normal == 1.0
    assert plan.permissives[0].valves == ("upper.mist", "upper.flood", "lower.mist", "lower.flood")
    assert (plan.limits[0].value, plan.limits[0].window) == (3.0, 1.0)
    assert plan.at.of("ambient").line == 5


def test_doses() -> None:
    first, second, third, _ = only(good("doses")).stages
    dose = first.actions["mist"]
    assert isinstance(dose, Dose)
    assert (dose.open_ms, dose.shut_ms, dose.clock) == (400, 5600, "restart")
    assert "flood" not in first.actions
    assert isinstance(second.actions["mist"], Dose)
    assert second.actions["mist"].clock == "free"
    assert set(third.actions) == {"sweep", "mist"}


def test_step_down() -> None:
    assert only(good("climbs")).step_down_ms == 10_000
    assert only(good("small")).step_down_ms == 0


def test_demand() -> None:
    call = good("demand").calls[0]
    assert isinstance(call, Demand)
    assert (call.of, call.thresholds, call.hysteresis) == ("demand", {"dosing": 10.0, "full": 80.0}, 4.0)


def test_ramp() -> None:
    plan = good("ramp")
    share = only(plan).stages[0].actions["mist"]
    assert share == Share("ramp", 8000)
    assert plan.ramps["ramp"].fall == pytest.approx(4 / 60)


def test_pressure_vessel() -> None:
    plan = good("pressure_vessel")
    assert plan.gas_streams["vessel_gas"].pressure == 701325.0
    load, balls = plan.bodies["load"].inner, plan.bodies["balls"].inner
    assert load is not None
    assert balls is not None
    assert (load.shape, load.size, load.shells, load.density) == ("cylinder", 0.04, 6, 1600.0)
    assert balls.density == plan.materials["cast iron"].density  # that of the body's material


def test_material_of_the_plan() -> None:
    assert good("coupled_hosts").bodies["frame"].heat_capacity == 460.0


def test_permissives() -> None:
    everything, gentle, one = good("permissives").permissives
    assert everything.all_water
    assert gentle.valves == ("upper.mist", "lower.mist")
    assert isinstance(one, Permissive)
    assert one.valves == ("upper.flood", "lower.mist")


def test_limits() -> None:
    first, second, third = good("limits_and_goals").limits[:3]
    assert first.window == 120.0
    assert first.between == pytest.approx((433.15, 343.15))
    assert (second.bound, second.window) == ("at_least", 3600.0)
    assert third.window == 0.5
    assert isinstance(first, Limit)
    assert first.text == "upper_platen, fall_rate at most 4 K/min, between 160 .. 70 degC, over 2 min"


def test_scenarios() -> None:
    lost, sensor, air, wrong, flicker = good("scenarios").scenarios.values()
    assert sensor.steps[1].values == pytest.approx({"upper.outlet_temperature": 266.9})  # a broken wire
    assert sensor.steps[3].values == {"upper.pressure": None, "reset_button": 1.0}
    assert air.steps[0].supplies == pytest.approx({"works_water.temperature": 298.15})
    assert (lost.until_ms, lost.longest_ms) == (None, 7_200_000)
    assert [step.time_ms for step in flicker.steps] == [0, 100, 200]
    assert flicker.until_ms == 1_800_000
    assert wrong.steps[1].mishaps == {
        "upper.mist": Wrong.STUCK_OPEN,
        "lower": Wrong.HALF_BLOCKED,
        "lower.sweep": Wrong.LEAKS,
    }


def test_wiring() -> None:
    assert good("wiring").io.terminals["upper.mist"].opcua == "ns=2;s=upper.mist"
    assert good("wiring_list").io.columns["terminal"] == "Klemme"
    assert good("wiring_file").io.list_file == "panel.csv"


def test_units() -> None:
    plan, small = good("units"), good("small")
    assert plan.supplies["works_water"].pressure == pytest.approx(515_010, rel=1e-5)  # 60 psi = 413.685 kPa
    assert plan.bodies["upper_platen"].mass == small.bodies["upper_platen"].mass
    assert only(plan).path.bore == 0.0127
    assert plan.inputs["upper.pressure"].unit == "mbarg"


def test_every_quantity_has_a_dimension() -> None:
    known = quantities(good("pressure_vessel"))
    assert known["load.core"].dimension == "temperature"
    assert known["vessel_gas.after_coil"].dimension == "temperature"
    assert known["upper.flood.is_open"].dimension == "switch"
    assert known["upper.wall_shock"].dimension == "temperature_difference"
    assert {name: one.name for name, one in known.items()} == {name: name for name in known}


def test_a_valve_may_be_called_nearly_like_a_key() -> None:
    """A stage's `names: open` is the valve `names`, and no slip for `name`."""
    text = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
    plan = read_text(re.sub(r"\bmist\b", "names", text))
    assert "names" in only(plan).valves
    assert isinstance(only(plan).stages[0].actions["names"], Dose)
    assert read_text(write(plan)) == plan


def test_an_input_called_list_can_be_wired() -> None:
    """`io: {list: panel.csv}` is a file, `io: {list: {terminal: ...}}` an input of this name."""
    text = next(path for path in GOOD if path.stem == "wiring").read_text(encoding="utf-8")
    plan = read_text(re.sub(r"\bfull_call\b", "list", text))
    assert plan.io.list_file is None
    assert plan.io.terminals.keys() == {
        "list" if name == "full_call" else name for name in good("wiring").io.terminals
    }
    assert plan.io.terminals["list"].modbus == "discrete input 0"
