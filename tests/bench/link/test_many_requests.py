"""A recorder that takes more than one request: its parts are of the same scans, or it is said."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from steadfall.bench.link.exchange import LostError
from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus import client
from steadfall.bench.link.modbus.client import Block, ModbusLink
from steadfall.bench.link.wires import Form, Register, Wire
from steadfall.logic.build.recorder import Extra, with_extras
from steadfall.logic.build.whole import build
from tests.bench.made import plan_of, wires_of

PLAN = plan_of("small")


class Scanned(ModbusLink):
    """Whose registers all show how many requests had come when the last scan was made."""

    def __init__(self, wires: list[Wire], every: int, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(client, "ModbusTcpClient", lambda *_, **__: self)
        self.asked, self.every = 0, every
        super().__init__(LinkFile("modbus.tcp://127.0.0.1:1"), wires, limit_s=0.02)

    def connect(self) -> bool:
        return True

    def _get(self, block: Block) -> list[Any]:
        self.asked += 1
        return [
            self.asked // self.every % 2 if block.table.of_bits else self.asked // self.every
        ] * block.count


@pytest.fixture
def wires() -> list[Wire]:
    """Of a controller with a recorder, its numbers in two places far apart."""
    made = wires_of(PLAN, with_extras(PLAN, build(PLAN), frozenset({Extra.RECORDER})))
    assert sum(wire.counts for wire in made) == 1
    return [_apart(wire) for wire in made]


def _apart(wire: Wire) -> Wire:
    place = wire.register
    if place is None or not wire.recorded or place.table.of_bits:
        return wire
    return evolve(
        wire, register=Register(place.table, place.number + 300 * (place.number // 50)), form=Form.INT16
    )


def test_its_parts_are_of_the_same_scans(wires: list[Wire], monkeypatch: pytest.MonkeyPatch) -> None:
    link = Scanned(wires, 11, monkeypatch)
    for _ in range(5):
        parts = link.read().parts
        recorded = [part for part in parts if "record.1.scan" in part.values]
        assert len(recorded) == 1
        names = {wire.signal for wire in wires if wire.recorded}
        assert recorded[0].values.keys() == names


def test_where_scans_come_in_between_each_time_it_is_said_or_seen_later(
    wires: list[Wire], monkeypatch: pytest.MonkeyPatch
) -> None:
    link = Scanned(wires, 2, monkeypatch)
    with pytest.raises(LostError, match="which never come between two scans"):
        link.read()
    link.every = 1_000_000
    many = len(link.read().parts)
    link.every = 2
    assert len(link.read().parts) == many
    assert link.read().parts[-1].values == {}
