"""Both links against implementations that are not ours or our libraries': another stack at the other end."""

from __future__ import annotations

import warnings

from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus.client import ModbusLink
from steadfall.bench.link.opcua.client import OpcUaLink
from steadfall.bench.link.wires import Form, Register, Table, Wire
from steadfall.logic.nodes import Type
from tests.bench.made import plan_of, wires_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it is of an older Python
    import opcua
    from pyModbusTCP.client import ModbusClient
    from pyModbusTCP.server import ModbusServer

PATIENT_S = 20.0


def test_another_modbus_client_reads_and_writes_our_controller(addresses: dict[str, str]) -> None:
    host, port = addresses["modbus"].removeprefix("modbus.tcp://").split(":")
    wires = {wire.signal: wire for wire in wires_of(plan_of("wiring"))}
    call, temperature = wires["full_call"].register, wires["upper.outlet_temperature"].register
    assert call is not None
    assert temperature is not None
    client = ModbusClient(host, int(port), timeout=PATIENT_S)
    assert client.write_single_coil(call.number, True)
    assert client.read_coils(call.number, 1) == [True]
    assert client.write_multiple_registers(temperature.number, [0x4316, 0x0000])
    assert client.read_holding_registers(temperature.number, 2) == [0x4316, 0x0000]
    assert client.read_input_registers(60_000, 1) is None
    assert client.write_single_coil(call.number, False)
    client.close()


def test_our_modbus_link_reads_and_writes_another_server() -> None:
    server = ModbusServer("127.0.0.1", 0, no_block=True)
    server.start()
    port = server._service.server_address[1]
    server.data_bank.set_discrete_inputs(3, [True])
    server.data_bank.set_input_registers(7, [0x0000, 0x42C8])
    wires = [
        Wire("mist", Type.BOOL, False, register=Register(Table.DISCRETE, 3)),
        Wire("level", Type.REAL, False, register=Register(Table.INPUT, 7), form=Form.FLOAT32),
        Wire("call", Type.BOOL, True, register=Register(Table.COIL, 5)),
        Wire("raw", Type.REAL, True, register=Register(Table.HOLDING, 9), form=Form.INT16, scale=10),
    ]
    link = ModbusLink(LinkFile(f"modbus.tcp://127.0.0.1:{port}", low_word_first=True), wires, PATIENT_S)
    try:
        assert link.problems() == []
        assert dict(link.read().values) == {"mist": True, "level": 100.0}
        assert dict(link.write({"call": True, "raw": -12.34}).values) == {"call": True, "raw": -12.3}
        assert server.data_bank.get_coils(5, 1) == [True]
        assert server.data_bank.get_holding_registers(9, 1) == [65_536 - 123]
    finally:
        link.close()
        server.stop()


def test_another_opc_ua_client_reads_and_writes_our_controller(addresses: dict[str, str]) -> None:
    client = opcua.Client(addresses["opcua"], timeout=PATIENT_S)
    client.connect()
    try:
        node = client.get_node("ns=2;s=upper.outlet_temperature")
        node.set_value(opcua.ua.DataValue(opcua.ua.Variant(120.5, opcua.ua.VariantType.Float)))
        assert node.get_value() == 120.5
        assert client.get_node("ns=2;s=upper.flood").get_value() is False
    finally:
        client.disconnect()


def test_our_opc_ua_link_reads_and_writes_another_server() -> None:
    server = opcua.Server()
    server.set_endpoint("opc.tcp://127.0.0.1:0/")
    server.register_namespace("urn:another")
    things = server.get_objects_node()
    mist = things.add_variable(opcua.ua.NodeId("mist", 2), "mist", True)
    call = things.add_variable(opcua.ua.NodeId("call", 2), "call", False)
    level = things.add_variable(opcua.ua.NodeId("level", 2), "level", 1.0, opcua.ua.VariantType.Double)
    call.set_writable()
    level.set_writable()
    server.start()
    port = server.bserver._server.sockets[0].getsockname()[1]
    wires = [
        Wire("mist", Type.BOOL, False, node="ns=2;s=mist"),
        Wire("call", Type.BOOL, True, node="ns=2;s=call"),
        Wire("level", Type.REAL, True, node="ns=2;s=level"),
    ]
    try:
        link = OpcUaLink(LinkFile(f"opc.tcp://127.0.0.1:{port}/"), wires, PATIENT_S)
        assert link.problems() == []
        assert dict(link.read().values) == {"mist": True}
        assert dict(link.write({"call": True, "level": 0.1}).values) == {"call": True, "level": 0.1}
        assert call.get_value() is True
        assert level.get_value() == 0.1
        mist.set_value(False)
        assert dict(link.read().values) == {"mist": False}
        link.close()
    finally:
        server.stop()
