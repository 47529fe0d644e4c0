"""Both links against a soft controller: what is written arrives, what is read is what it made."""

from __future__ import annotations

import time
from typing import Any

import pytest
from attrs import evolve

from steadfall.bench.link.exchange import LostError
from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus.client import ModbusLink
from steadfall.bench.link.opcua.client import OpcUaLink
from steadfall.bench.link.wires import Form, Register, Table, Wire
from steadfall.logic.nodes import Type
from tests.bench.made import plan_of, served, wires_of

LINKS: dict[str, Any] = {"opcua": OpcUaLink, "modbus": ModbusLink}
PATIENT_S = 20.0  # a busy machine answers late; what is slow is not the matter here


def opened(kind: str, addresses: dict[str, str], *wires: Wire) -> Any:
    chosen = wires or wires_of(plan_of("wiring"))
    return LINKS[kind](LinkFile(addresses[kind]), list(chosen), PATIENT_S)


@pytest.mark.parametrize("kind", LINKS)
def test_a_call_that_is_written_opens_a_valve(kind: str, addresses: dict[str, str]) -> None:
    link = opened(kind, addresses)
    try:
        assert link.problems() == []
        link.write({"full_call": False, "air_pressure_ok": True})
        quiet = link.read()
        sent = link.write({"full_call": True, "upper.outlet_temperature": 150.1, "air_pressure_ok": True})
        assert sent.values["upper.outlet_temperature"] == pytest.approx(150.1, abs=1e-5)
        assert sent.values["upper.outlet_temperature"] != 150.1, "a REAL on the wire has 32 bits"
        seen = link.read()
        while seen.values["upper.stage"] != 1:
            time.sleep(0.01)
            seen = link.read()
        assert seen.values["upper.sweep"]
        assert quiet.ended_ns <= sent.begun_ns <= sent.ended_ns <= seen.begun_ns <= seen.ended_ns
    finally:
        link.write({"full_call": False})
        link.close()


@pytest.mark.parametrize("kind", LINKS)
def test_all_that_is_missing_is_listed_at_once(kind: str, addresses: dict[str, str]) -> None:
    wires = wires_of(plan_of("wiring"))
    moved = [
        evolve(wire, node=f"{wire.node}.gone", register=wire.register and Register(Table.HOLDING, 9_000 + at))
        for at, wire in enumerate(wires[:3])
    ]
    link = opened(kind, addresses, *moved, *wires[3:])
    found = link.problems()
    link.close()
    assert len(found) == 3
    assert all(f"'{wire.signal}'" in line for wire, line in zip(moved, found, strict=True))


def test_a_node_of_another_type_and_one_that_cannot_be_written_are_told(addresses: dict[str, str]) -> None:
    wrong = Wire("upper.pressure", Type.REAL, True, node="ns=2;s=upper.mist")
    link = opened("opcua", addresses, wrong)
    found = link.problems()
    link.close()
    assert found == [
        "'upper.pressure' at ns=2;s=upper.mist: it is Boolean there, and a REAL in the plan",
        "'upper.pressure' at ns=2;s=upper.mist: it is not writable",
    ]


@pytest.mark.parametrize("kind", LINKS)
def test_nothing_is_written_where_no_wire_is(kind: str, addresses: dict[str, str]) -> None:
    link = opened(kind, addresses)
    with pytest.raises(LostError, match=r"no place to write upper\.mist"):
        link.write({"upper.mist": True})
    link.close()


@pytest.mark.parametrize("kind", LINKS)
def test_nobody_there_is_said_so(kind: str) -> None:
    nobody = {"opcua": "opc.tcp://127.0.0.1:9/", "modbus": "modbus.tcp://127.0.0.1:9"}
    with pytest.raises(LostError, match=r"127\.0\.0\.1:9"):
        opened(kind, nobody)


def test_a_word_order_that_is_wrong_gives_another_number_and_no_error(addresses: dict[str, str]) -> None:
    plan = plan_of("wiring")
    right = ModbusLink(LinkFile(addresses["modbus"]), wires_of(plan), PATIENT_S)
    right.write({"upper.outlet_temperature": 150.0})
    assert right.shown()["upper.outlet_temperature"] == 150.0
    right.close()
    wrong = ModbusLink(LinkFile(addresses["modbus"], low_word_first=True), wires_of(plan), PATIENT_S)
    assert wrong.problems() == []
    assert wrong.shown()["upper.outlet_temperature"] != 150.0
    wrong.close()


def test_a_value_that_does_not_fit_is_not_written(addresses: dict[str, str]) -> None:
    wire = Wire("n", Type.INT, True, register=Register(Table.HOLDING, 0), form=Form.INT16)
    link = opened("modbus", addresses, wire)
    with pytest.raises(LostError, match="does not fit into int16"):
        link.write({"n": 40_000})
    link.close()


@pytest.mark.parametrize("kind", LINKS)
def test_counts_go_over_the_wire_as_whole_numbers(kind: str) -> None:
    plan = plan_of("bad_sensors")
    wires = wires_of(plan)
    (wire,) = (one for one in wires if one.signal == "lower.outlet_temperature")
    assert (wire.form, wire.whole, wire.type) == (Form.INT16, "INT", Type.REAL)
    with served(plan, wires) as (opcua, modbus):
        link = opened(kind, {"opcua": opcua, "modbus": modbus}, *wires)
        try:
            assert link.problems() == []
            sent = link.write({wire.signal: 6912.0})
            assert sent.values[wire.signal] == 6912
        finally:
            link.close()
