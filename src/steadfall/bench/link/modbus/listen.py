"""A controller that is the Modbus TCP client: the bench serves, the controller writes and asks.

Rule of this file: a value counts from when the controller has written it, and an input is shown once the
controller has asked for it; where neither comes within the limit, the controller is lost.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable, Coroutine, Mapping, Sequence
from typing import Any
from urllib.parse import urlsplit

from attrs import evolve
from pymodbus.constants import ExcCodes

from steadfall.bench.link.exchange import LIMIT_S, Exchange, LostError, Part, Peer
from steadfall.bench.link.file import LinkFile
from steadfall.bench.link.modbus.client import USUAL_PORT, Block, blocks
from steadfall.bench.link.modbus.server import READS, WRITES, ModbusFace
from steadfall.bench.link.wires import Table, Wire
from steadfall.logic.nodes import Value

CONNECT_S, LOOK_S = 30.0, 0.001
Times = dict[tuple[Table, int], int]  # of each cell, in ns


class Watched(ModbusFace):
    """A server that knows when each cell was last written, and when it was last asked for."""

    def __init__(self, wires: Sequence[Wire], host: str, port: int, *, low_word_first: bool) -> None:
        super().__init__(wires, host, port, low_word_first=low_word_first)
        self.written: Times = {}
        self.asked: Times = {}

    async def _asked(
        self, function: int, start: int, address: int, count: int, image: list[int], given: Any
    ) -> ExcCodes | None:
        refused = await super()._asked(function, start, address, count, image, given)
        writes = function in WRITES and given is not None
        table = WRITES[function] if writes else READS.get(function)
        if refused is None and table is not None:
            now, times = time.monotonic_ns(), self.written if writes else self.asked
            many = len(given) if writes else count
            times.update(dict.fromkeys(((table, address + at) for at in range(many)), now))
        return refused


class ListeningLink:
    """The connection, once the controller has come. Raises OutsideError where the port is taken."""

    def __init__(
        self, link: LinkFile, wires: Sequence[Wire], limit_s: float = LIMIT_S, connect_s: float = CONNECT_S
    ) -> None:
        found = urlsplit(link.address)
        placed = [wire for wire in wires if wire.register]
        turned = [evolve(wire, is_input=not wire.is_input) for wire in placed]  # from the server's side
        self._link, self._limit, self._connect = link, limit_s, connect_s
        self._outputs = list(blocks([wire for wire in placed if not wire.is_input], 0))
        self._inputs = [wire for wire in placed if wire.is_input]
        host, port = found.hostname or "", USUAL_PORT if found.port is None else found.port
        self._face = Watched(turned, host, port, low_word_first=link.low_word_first)
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._thread.start()
        try:
            self.address = self._do(self._face.start())
        except BaseException:
            self._end()
            raise

    def problems(self) -> list[str]:
        """Every output that the controller does not write, every input that it does not ask for."""
        self._until(lambda: not self._missing(), self._connect)
        return self._missing()

    def _missing(self) -> list[str]:
        found = [
            f"'{wire.signal}' at {wire.register}: the controller has not written it"
            for block in self._outputs
            for wire in block.wires
            if not _last([wire], self._face.written)
        ]
        return found + [
            f"'{wire.signal}' at {wire.register}: the controller has not asked for it"
            for wire in self._inputs
            if not _last([wire], self._face.asked)
        ]

    def peer(self) -> Peer:
        """Who came; a client does not say more over Modbus."""
        return Peer(self._link.address, {"role": "client"})

    def read(self) -> Exchange:
        """The controller's outputs, as it writes them from now on."""
        begun = time.monotonic_ns()
        if not self._until(lambda: self._since(self._outputs, self._face.written, begun), self._limit):
            raise LostError(f"no controller has written at {self._link.address} within {self._limit:g} s")
        values = self._do(self._face.collect())
        parts = (self._part(block, values) for block in self._outputs)
        return Exchange(tuple(sorted(parts, key=lambda part: part.begun_ns)))  # it writes in its own order

    def _part(self, block: Block, values: Mapping[str, Value]) -> Part:
        when = [self._face.written[cell] for wire in block.wires for cell in _cells(wire)]
        return Part(min(when), max(when), {wire.signal: values[wire.signal] for wire in block.wires})

    def shown(self) -> Mapping[str, Value]:
        """What the controller has written."""
        found: Mapping[str, Value] = self._do(self._face.collect())
        return found

    def write(self, values: Mapping[str, Value]) -> Exchange:
        """Inputs of the controller: there, and asked for."""
        chosen = [wire for wire in self._inputs if wire.signal in values]
        if len(chosen) != len(values):
            missing = set(values) - {wire.signal for wire in chosen}
            raise LostError(f"the link has no place to write {', '.join(sorted(missing))}")
        some = list(blocks(chosen, 0))
        begun = time.monotonic_ns()
        self._do(self._face.publish(values))
        if not self._until(lambda: self._since(some, self._face.asked, begun), self._limit):
            raise LostError(f"no controller has asked at {self._link.address} within {self._limit:g} s")
        return Exchange(tuple(self._shown(block, values, begun) for block in some))

    def _shown(self, block: Block, values: Mapping[str, Value], begun: int) -> Part:
        given = {wire.signal: values[wire.signal] for wire in block.wires}
        return Part(begun, _last(block.wires, self._face.asked), given)

    def close(self) -> None:
        """Serve no more."""
        self._do(self._face.stop())
        self._end()

    def _since(self, some: Sequence[Block], times: Times, begun: int) -> bool:
        wires = (wire for block in some for wire in block.wires)
        return all(times.get(cell, 0) > begun for wire in wires for cell in _cells(wire))

    def _until(self, there: Callable[[], bool], limit_s: float) -> bool:
        until = time.monotonic() + limit_s
        while not there():
            if time.monotonic() > until:
                return False
            time.sleep(LOOK_S)
        return True

    def _do(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(self._connect)

    def _end(self) -> None:
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()


def _cells(wire: Wire) -> list[tuple[Table, int]]:
    place = wire.register
    if place is None:
        return []
    many = 1 if place.table.of_bits else wire.form.words
    return [(place.table, place.number + at) for at in range(many)]


def _last(wires: Sequence[Wire], times: Times) -> int:
    """When the last of some cells was touched; 0 where one never was."""
    when = [times.get(cell, 0) for wire in wires for cell in _cells(wire)]
    return max(when) if min(when, default=0) else 0
