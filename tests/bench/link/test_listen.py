"""A controller that is the client: an implementation that is not ours writes outputs and asks for inputs."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
from pyModbusTCP.client import ModbusClient

from steadfall.app.bench import People, _known
from steadfall.bench.link.exchange import LostError
from steadfall.bench.link.file import LinkFile, joined
from steadfall.bench.link.modbus.listen import ListeningLink
from steadfall.bench.link.wires import Form, Register, Table, Wire
from steadfall.logic.nodes import Type
from steadfall.source import AskError, PlanError

PATIENT_S = 20.0
WIRES = [
    Wire("mist", Type.BOOL, False, register=Register(Table.COIL, 3)),
    Wire("level", Type.REAL, False, register=Register(Table.HOLDING, 7), form=Form.FLOAT32),
    Wire("call", Type.BOOL, True, register=Register(Table.DISCRETE, 5)),
    Wire("hot", Type.REAL, True, register=Register(Table.INPUT, 9), form=Form.INT16, scale=10),
]
LISTENS = LinkFile("modbus.tcp://127.0.0.1:0", listen=True)


class Controller:
    """Writes what it makes and asks for what it sees, again and again."""

    def __init__(self, address: str) -> None:
        found = urlsplit(address)
        self.client = ModbusClient(found.hostname or "", found.port or 0, timeout=PATIENT_S)
        self.mist, self.seen, self.over = False, (False, 0), threading.Event()
        self.thread = threading.Thread(target=self.run)

    def run(self) -> None:
        while not self.over.is_set():
            self.client.write_single_coil(3, self.mist)
            self.client.write_multiple_registers(7, [0x42C8, 0x0000])
            call, hot = self.client.read_discrete_inputs(5, 1), self.client.read_input_registers(9, 1)
            if call and hot:
                self.seen = call[0], hot[0]


@contextmanager
def talking() -> Iterator[tuple[ListeningLink, Controller]]:
    link = ListeningLink(LISTENS, WIRES, PATIENT_S)
    controller = Controller(link.address)
    controller.thread.start()
    try:
        yield link, controller
    finally:
        controller.over.set()
        controller.thread.join()
        controller.client.close()
        link.close()


def test_what_it_writes_is_read_and_what_is_written_it_has_seen() -> None:
    with talking() as (link, controller):
        assert link.problems() == []
        assert link.read().values == {"mist": False, "level": 100.0}
        controller.mist = True
        link.read()  # begun before, perhaps
        seen = link.read()
        assert seen.values["mist"] is True
        assert seen.begun_ns <= seen.ended_ns
        sent = link.write({"call": True, "hot": -12.3})
        assert sent.begun_ns < sent.ended_ns
        link.read()  # one more round of the controller
        assert controller.seen == (True, 65_536 - 123)
        with pytest.raises(LostError, match="no place to write other"):
            link.write({"other": True})


def test_nobody_comes_and_who_has_come_goes() -> None:
    link = ListeningLink(LISTENS, WIRES, 0.05, connect_s=0.05)
    assert link.problems()[0] == "'mist' at coil 3: the controller has not written it"
    assert len(link.problems()) == 4
    with pytest.raises(LostError, match="no controller has written"):
        link.read()
    with pytest.raises(LostError, match="no controller has asked"):
        link.write({"call": True})
    link.close()


def test_the_one_who_writes_needs_a_place_that_can_be_written() -> None:
    wire = Wire("mist", Type.BOOL, False, register=Register(Table.DISCRETE, 3))
    with pytest.raises(PlanError, match="the controller writes it"):
        joined([wire], LISTENS)
    assert joined([wire], LinkFile("modbus.tcp://127.0.0.1:0")) == [wire]


def test_a_number_is_confirmed_before_anything_is_driven() -> None:
    with talking() as (link, _):
        link.problems()
        told: list[str] = []

        def knows(value: str) -> bool:
            told.append(value)
            return "100" in value

        _known(link, WIRES, People(knows=knows))
        assert told == ["'level' at holding register 7 stands at 100 in the controller, in its own unit"]
        with pytest.raises(AskError, match="nobody has confirmed"):
            _known(link, WIRES, People())
