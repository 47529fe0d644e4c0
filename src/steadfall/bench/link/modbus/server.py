"""A soft controller's face for Modbus TCP.

Rule of this file: the answer to a read is an image that the last scan left, and what is written waits for
the next scan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from steadfall.bench.link.modbus.words import value_of, words_of
from steadfall.bench.link.wires import Register, Table, Wire
from steadfall.logic.nodes import Value
from steadfall.source import OutsideError

READS = {1: Table.COIL, 2: Table.DISCRETE, 3: Table.HOLDING, 4: Table.INPUT}
WRITES = {5: Table.COIL, 15: Table.COIL, 6: Table.HOLDING, 16: Table.HOLDING}
BITS = 16
_ORDER = (Table.COIL, Table.DISCRETE, Table.HOLDING, Table.INPUT)  # of a device's blocks


class ModbusFace:
    """The server of some wires."""

    def __init__(self, wires: Sequence[Wire], host: str, port: int, *, low_word_first: bool = False) -> None:
        self._low_first = low_word_first
        self._wires = [wire for wire in wires if wire.register]
        self._cells = {table: [0] * (self._size(table) + 1) for table in Table}
        self._host, self._port = host, port
        self._server: Any = None

    def _size(self, table: Table) -> int:
        ends = [wire.register.number + wire.form.words for wire in self._wires
                if wire.register and wire.register.table is table]  # fmt: skip
        return max(ends, default=1)

    async def start(self) -> str:
        """Begin to serve; the address. Raises OutsideError where the port is taken."""
        device = SimDevice(id=1, simdata=tuple(self._block(table) for table in _ORDER), action=self._asked)
        self._server = ModbusTcpServer(device, address=(self._host, self._port))
        await self._server.serve_forever(background=True)
        if self._server.transport is None:
            raise OutsideError(f"cannot serve Modbus TCP at {self._host}:{self._port}; is the port taken?")
        host, port = self._server.transport.sockets[0].getsockname()[:2]
        return f"modbus.tcp://{host}:{port}"

    def _block(self, table: Table) -> list[SimData]:
        size = len(self._cells[table])
        if table.of_bits:
            return [SimData(0, count=size, values=False, datatype=DataType.BITS)]
        return [SimData(0, count=size, values=0, datatype=DataType.REGISTERS)]

    async def _asked(
        self, function: int, start: int, address: int, _count: int, image: list[int], given: Any
    ) -> ExcCodes | None:
        """Fill in what is read; keep what is written. `start`: where the image begins."""
        if function in WRITES and given is not None:
            cells = self._cells[WRITES[function]]
            if address + len(given) > len(cells):
                return ExcCodes.ILLEGAL_ADDRESS
            cells[address : address + len(given)] = [int(one) for one in given]
            return None
        table = READS.get(function)
        if table is None:
            return None
        words = _packed(self._cells[table]) if table.of_bits else self._cells[table]
        for at in range(len(image)):
            image[at] = words[start + at] if start + at < len(words) else 0
        return None

    async def collect(self) -> dict[str, Value]:
        """The inputs as clients have written them."""
        return {wire.signal: self._value(wire) for wire in self._wires if wire.is_input}

    def _value(self, wire: Wire) -> Value:
        place = wire.register or Register(Table.HOLDING, 0)
        table, at = place.table, place.number
        if table.of_bits:
            return bool(self._cells[table][at])
        return value_of(self._cells[table][at : at + wire.form.words], wire, low_first=self._low_first)

    async def publish(self, values: Mapping[str, Value]) -> None:
        """What the last scan made; of inputs, what they begin with."""
        for wire in self._wires:
            if wire.signal in values and wire.register:
                table, at = wire.register.table, wire.register.number
                if table.of_bits:
                    self._cells[table][at] = int(bool(values[wire.signal]))
                else:
                    words = words_of(values[wire.signal], wire, low_first=self._low_first)
                    self._cells[table][at : at + len(words)] = words

    async def stop(self) -> None:
        """Serve no more."""
        if self._server is not None:
            await self._server.shutdown()


def _packed(bits: Sequence[int]) -> list[int]:
    """Bits as words, the first in the lowest place."""
    return [
        sum((bit & 1) << place for place, bit in enumerate(bits[at : at + BITS]))
        for at in range(0, len(bits), BITS)
    ]
