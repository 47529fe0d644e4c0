"""A controller that serves Modbus TCP, as a link.

Rule of this file: registers that lie side by side go in one request, and only registers that a wire names
are ever written.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any
from urllib.parse import urlsplit

from attrs import frozen
from pymodbus import ModbusException
from pymodbus.client import ModbusTcpClient

from steadfall.bench.link.exchange import LIMIT_S, Exchange, LostError, Part, Peer
from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus.words import UnfitError, value_of, words_of
from steadfall.bench.link.wires import Table, Wire
from steadfall.logic.nodes import Value

MOST_WORDS, MOST_BITS = 120, 1900  # of one request
USUAL_PORT = 502
MOST_GAP = 8  # registers between two that are read along
TORN = (
    "the recorder takes {many} requests at {address}, which never come between two scans; have its places"
    " side by side, or leave them out"
)


@frozen
class Block:
    """Neighbouring registers of one table, and the wires in them."""

    table: Table
    begin: int
    count: int
    wires: tuple[Wire, ...]


class ModbusLink:
    """The connection. Raises LostError where nobody answers."""

    def __init__(self, link: LinkFile, wires: Sequence[Wire], limit_s: float = LIMIT_S) -> None:
        found = urlsplit(link.address)
        self._link, self._limit = link, limit_s
        self._outputs = [wire for wire in wires if not wire.is_input and wire.register]
        self._inputs = [wire for wire in wires if wire.is_input and wire.register]
        self._reads = list(blocks([wire for wire in self._outputs if not wire.recorded], MOST_GAP))
        self._record = list(blocks([wire for wire in self._outputs if wire.recorded], MOST_GAP))
        self._number = list(blocks([wire for wire in self._outputs if wire.counts], 0))
        self._has_recorded = False
        self._writes: dict[tuple[str, ...], list[Block]] = {}
        self._client = ModbusTcpClient(
            found.hostname or "", port=found.port or USUAL_PORT, timeout=limit_s, retries=0, reconnect_delay=0
        )
        if not self._client.connect():
            raise LostError(f"nobody answers at {link.address}")

    def problems(self) -> list[str]:
        """Every register that cannot be read; that one cannot be written only a write would show."""
        found = []
        for block in blocks([*self._outputs, *self._inputs], 0):
            for wire in block.wires:
                only = next(blocks([wire], 0))
                try:
                    self._get(only)
                except LostError as error:
                    found.append(f"'{wire.signal}' at {wire.register}: {error}")
        return found

    def peer(self) -> Peer:
        """Who is at the other end; few controllers say it over Modbus."""
        says = {}
        try:
            answer = self._client.read_device_information(device_id=self._link.device)
            if not answer.isError():
                says = {_OBJECTS.get(number, str(number)): text.decode("utf-8", "replace")
                        for number, text in answer.information.items()}  # fmt: skip
        except (ModbusException, OSError, AttributeError):
            pass
        return Peer(self._link.address, says)

    def read(self) -> Exchange:
        """The controller's outputs."""
        parts = [self._part([block]) for block in self._reads]
        if len(self._record) == 1 or not self._number:
            parts += [self._part([block]) for block in self._record]
        elif self._record:
            parts.append(self._recorded())
        return Exchange(tuple(parts))

    def _part(self, some: Sequence[Block]) -> Part:
        begun, values = time.monotonic_ns(), dict[str, Value]()
        for block in some:
            values |= self._values(block, self._get(block))
        return Part(begun, time.monotonic_ns(), values)

    def _recorded(self) -> Part:
        """What a recorder holds, in as many requests as it takes, all of it between two scans; nothing where
        scans came in between each time: what it holds is seen the next time. Raises LostError before that has
        ever succeeded.
        """
        until = time.monotonic() + self._limit
        last = self._part(self._number).values
        while True:
            found = self._part(self._record)
            now = self._part(self._number).values
            if now == last and now.items() <= found.values.items():
                self._has_recorded = True
                return found
            if time.monotonic() > until:
                break
            last = now
        if not self._has_recorded:
            raise LostError(TORN.format(many=len(self._record), address=self._link.address))
        return Part(found.begun_ns, found.ended_ns, {})

    def shown(self) -> Mapping[str, Value]:
        """Everything as it stands there, inputs too."""
        values: dict[str, Value] = {}
        for block in blocks([*self._outputs, *self._inputs], 0):
            values |= self._values(block, self._get(block))
        return values

    def write(self, values: Mapping[str, Value]) -> Exchange:
        """Inputs of the controller."""
        names = tuple(values)
        if names not in self._writes:
            chosen = [wire for wire in self._inputs if wire.signal in values]
            if len(chosen) != len(values):
                missing = set(values) - {wire.signal for wire in chosen}
                raise LostError(f"the link has no place to write {', '.join(sorted(missing))}")
            self._writes[names] = list(blocks(chosen, 0))
        parts = []
        for block in self._writes[names]:
            begun, cells = time.monotonic_ns(), self._cells(block, values)
            self._put(block, cells)
            parts.append(Part(begun, time.monotonic_ns(), self._values(block, cells)))
        return Exchange(tuple(parts))

    def close(self) -> None:
        """Let go of it."""
        self._client.close()

    def _cells(self, block: Block, values: Mapping[str, Value]) -> list[int]:
        cells = [0] * block.count
        for wire in block.wires:
            at = _number(wire) - block.begin
            if block.table.of_bits:
                cells[at] = int(bool(values[wire.signal]))
                continue
            try:
                words = words_of(values[wire.signal], wire, low_first=self._link.low_word_first)
            except UnfitError as error:
                raise LostError(str(error)) from error
            cells[at : at + wire.form.words] = words
        return cells

    def _values(self, block: Block, cells: Sequence[Any]) -> dict[str, Value]:
        found: dict[str, Value] = {}
        for wire in block.wires:
            at = _number(wire) - block.begin
            if block.table.of_bits:
                found[wire.signal] = bool(cells[at])
            else:
                words = cells[at : at + wire.form.words]
                found[wire.signal] = value_of(words, wire, low_first=self._link.low_word_first)
        return found

    def _get(self, block: Block) -> Sequence[Any]:
        answer = self._answer(getattr(self._client, READS[block.table]), block.begin, count=block.count)
        cells: Sequence[Any] = answer.bits if block.table.of_bits else answer.registers
        if len(cells) < block.count:
            raise LostError(f"{self._link.address} gave {len(cells)} of {block.count} values")
        return cells

    def _put(self, block: Block, cells: list[int]) -> None:
        if block.table is Table.COIL:
            self._answer(self._client.write_coils, block.begin, [bool(cell) for cell in cells])
        else:
            self._answer(self._client.write_registers, block.begin, cells)

    def _answer(self, ask: Any, *given: Any, **named: Any) -> Any:
        try:
            answer = ask(*given, device_id=self._link.device, **named)
        except (ModbusException, OSError, ValueError, IndexError) as error:
            raise LostError(f"no answer from {self._link.address}: {_short(error)}") from error
        if answer is None or answer.isError():
            code = getattr(answer, "exception_code", 0)
            raise LostError(f"{self._link.address} refuses: {REFUSALS.get(code, f'exception {code}')}")
        if answer.function_code != FUNCTIONS[ask.__name__]:  # the library lets it pass
            raise LostError(
                f"{self._link.address} answers what was not asked: function {answer.function_code}"
            )
        return answer


def blocks(wires: Sequence[Wire], gap: int) -> Iterator[Block]:
    """Wires whose registers lie side by side, with so many others between at most, in one block."""
    for table, group in groupby(sorted(wires, key=_order), key=_table):
        most = MOST_BITS if table.of_bits else MOST_WORDS
        held: list[Wire] = []
        for wire in group:
            end = _number(wire) + _cells(wire)
            if held and (_number(wire) > _end(held) + gap or end - _number(held[0]) > most):
                yield _block(table, held)
                held = []
            held.append(wire)
        yield _block(table, held)


def _block(table: Table, wires: Sequence[Wire]) -> Block:
    begin = _number(wires[0])
    return Block(table, begin, _end(wires) - begin, tuple(wires))


def _end(wires: Sequence[Wire]) -> int:
    return max(_number(wire) + _cells(wire) for wire in wires)


def _cells(wire: Wire) -> int:
    return 1 if wire.register is None or wire.register.table.of_bits else wire.form.words


def _number(wire: Wire) -> int:
    return wire.register.number if wire.register else 0


def _table(wire: Wire) -> Table:
    return wire.register.table if wire.register else Table.HOLDING


def _order(wire: Wire) -> tuple[str, int]:
    return _table(wire).value, _number(wire)


def _short(error: Exception) -> str:
    return " ".join(str(error).split())[:100]


READS = {
    Table.COIL: "read_coils", Table.DISCRETE: "read_discrete_inputs", Table.INPUT: "read_input_registers",
    Table.HOLDING: "read_holding_registers",
}  # fmt: skip
# Modbus Application Protocol V1.1b3, 6: the function of each request.
FUNCTIONS = {
    "read_coils": 1, "read_discrete_inputs": 2, "read_holding_registers": 3, "read_input_registers": 4,
    "write_coils": 15, "write_registers": 16,
}  # fmt: skip
# Modbus Application Protocol V1.1b3, 7.
REFUSALS = {
    1: "it does not know this function", 2: "there is no such register", 3: "it does not take this value",
    4: "it failed", 6: "it is busy",
}  # fmt: skip
_OBJECTS = {0: "vendor", 1: "product", 2: "revision"}
