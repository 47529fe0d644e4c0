"""Peers that are silent, hang up, lie or send nonsense: every link ends, and every server goes on."""

from __future__ import annotations

import random
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from steadfall.bench.link.exchange import LIMIT_S, Link, LostError
from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus.client import ModbusLink
from steadfall.bench.link.opcua.client import OpcUaLink
from steadfall.bench.link.wires import Register, Table, Wire
from steadfall.logic.nodes import Type
from tests.bench.made import plan_of, served, wires_of

PATIENT_S = 20.0
WIRES = [
    Wire("mist", Type.BOOL, False, node="ns=2;s=mist", register=Register(Table.DISCRETE, 3)),
    Wire("call", Type.BOOL, True, node="ns=2;s=call", register=Register(Table.COIL, 5)),
]
Answer = Callable[[bytes], bytes | None]  # what a peer answers; None: it hangs up


@contextmanager
def peer(answer: Answer) -> Iterator[int]:
    """A server that answers as it likes; its port."""
    listener = socket.create_server(("127.0.0.1", 0))
    over = threading.Event()

    def serve() -> None:
        listener.settimeout(0.05)
        while not over.is_set():
            try:
                client, _ = listener.accept()
            except TimeoutError:
                continue
            with client:
                client.settimeout(0.05)
                talk(client)

    def talk(client: socket.socket) -> None:
        while not over.is_set():
            try:
                asked = client.recv(1000)
            except TimeoutError:
                continue
            except OSError:
                return
            said = answer(asked) if asked else None
            if said is None:
                return
            client.sendall(said)

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        yield listener.getsockname()[1]
    finally:
        over.set()
        thread.join()
        listener.close()


def frame(asked: bytes, body: bytes) -> bytes:
    """An answer to a Modbus request: its number again, length, device, then the body."""
    return asked[:4] + (len(body) + 1).to_bytes(2, "big") + asked[6:7] + body


PEERS: dict[str, Answer] = {
    "silent": lambda _: b"",
    "hangs up": lambda _: None,
    "another number": lambda asked: b"\xff\xff" + frame(asked, bytes([2, 1, 1]))[2:],
    "too few values": lambda asked: frame(asked, bytes([2, 0])),
    "another function": lambda asked: frame(asked, bytes([4, 2, 0, 0])),
    "refuses": lambda asked: frame(asked, bytes([0x82, 2])),
    "busy": lambda asked: frame(asked, bytes([0x82, 6])),
    "nonsense": lambda asked: bytes(random.Random(len(asked)).randbytes(40)),
    "half a frame": lambda asked: frame(asked, bytes([2, 1, 1]))[:5],
}


@pytest.mark.parametrize("kind", PEERS)
def test_a_modbus_peer_that_is_wrong_is_lost_and_gives_no_value(kind: str) -> None:
    with peer(PEERS[kind]) as port:
        link = ModbusLink(LinkFile(f"modbus.tcp://127.0.0.1:{port}"), WIRES)
        with pytest.raises(LostError):
            link.read()
        with pytest.raises(LostError):
            link.write({"call": True})
        link.close()


@pytest.mark.parametrize("kind", ["hangs up", "nonsense"])
def test_an_opc_ua_peer_that_is_wrong_is_lost(kind: str) -> None:
    with peer(PEERS[kind]) as port, pytest.raises(LostError):
        OpcUaLink(LinkFile(f"opc.tcp://127.0.0.1:{port}/"), WIRES)


def test_a_server_is_left_alone_by_nonsense(addresses: dict[str, str]) -> None:
    wires, dice = wires_of(plan_of("wiring")), random.Random(5)
    for address in addresses.values():
        port = int(address.rstrip("/").rpartition(":")[2])
        for _ in range(10):
            with socket.create_connection(("127.0.0.1", port)) as client:
                client.sendall(dice.randbytes(dice.randint(1, 300)))
    for link in (
        OpcUaLink(LinkFile(addresses["opcua"]), wires, PATIENT_S),
        ModbusLink(LinkFile(addresses["modbus"]), wires, PATIENT_S),
    ):
        assert link.problems() == []
        assert link.write({"full_call": False}).values == {"full_call": False}
        assert link.read().values["upper.flood"] is False
        link.close()


def test_a_controller_that_stops_is_lost() -> None:
    plan = plan_of("small")
    wires = wires_of(plan)
    with served(plan, wires) as (opcua, modbus):
        links: list[Link] = [
            OpcUaLink(LinkFile(opcua), wires, PATIENT_S),
            ModbusLink(LinkFile(modbus), wires, PATIENT_S),
        ]
        for link in links:
            link.read()
            vars(link)["_limit"] = LIMIT_S  # nobody waits for a controller that is gone
    for link in links:
        with pytest.raises(LostError):
            link.read()
        link.close()
