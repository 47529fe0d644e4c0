"""A controller in software: a network that scans at its own moments.

Rule of this file: what it shows outside is what the last scan made, all of it or nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.runs.kernel import play_scans
from steadfall.scan.program import compile_network, fresh

_NONE = np.zeros(0, dtype=np.int64)
_NO_MOVES = (_NONE, np.zeros(0, np.uint8), _NONE, np.zeros(0))
_NOTHING_KEPT = (_NONE, _NONE, np.zeros((1, 0), dtype=np.int64), np.zeros((1, 0)))
_NO_FOLLOWERS = np.zeros((0, 2), dtype=np.int64)
_OF_TYPE = {Type.BOOL: bool, Type.REAL: float}


class Soft:
    """The controller, before its first scan; it shows all that it makes, or what is asked for."""

    def __init__(self, network: Network, shows: Sequence[str] | None = None, warm: bool = True) -> None:
        self.network = network
        self.program = compile_network(network)
        self.scans = 0
        self._shows = tuple(row.name for row in network.assignments) if shows is None else tuple(shows)
        self._places = [(name, *self.program.register(name)) for name in self._shows]
        self._inputs = {row.name: self.program.register(row.name) for row in network.inputs}
        retained = [row.name for row in network.assignments if row.retained]
        places = (self.program.where, self.program.copies)
        self._retained = {name: [where[name] for where in places if name in where] for name in retained}
        self.registers = fresh(self.program)
        if warm:  # the first compiled scan takes seconds
            self.scan(0, {})
            self.registers = fresh(self.program)
        self.scans = 0

    def restart(self) -> None:
        """Off and on again: before its first scan, with what is kept while power is off."""
        before, self.registers, self.scans = self.registers, fresh(self.program), 0
        for kind, place in (one for places in self._retained.values() for one in places):
            getattr(self.registers, kind)[place] = getattr(before, kind)[place]

    def kept(self) -> dict[str, Value]:
        """What it keeps while power is off, but what is set on its panel."""
        return {name: self._value(name, *self.program.register(name)) for name in self._retained}

    def bring(self, kept: Mapping[str, Value]) -> None:
        """Begin with what it has kept, before the first scan."""
        for name, value in kept.items():
            for kind, place in self._retained.get(name, ()):
                getattr(self.registers, kind)[place] = value

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> dict[str, Value]:
        """One scan, so long after the one before, and what it shows then."""
        for name, value in inputs.items():
            kind, place = self._inputs[name]
            getattr(self.registers, kind)[place] = value
        program, dts = (self.program.code, *self.registers), np.array([dt_ms], dtype=np.int64)
        play_scans(program, dts, _NO_MOVES, _NO_FOLLOWERS, (_NONE, _NONE), _NOTHING_KEPT)
        self.scans += 1
        return self.shown()

    def shown(self) -> dict[str, Value]:
        """What it shows now."""
        return {name: self._value(name, kind, place) for name, kind, place in self._places}

    def _value(self, name: str, kind: str, place: int) -> Value:
        found: Value = _OF_TYPE.get(self.program.types[name], int)(getattr(self.registers, kind)[place])
        return found


def panel_of(network: Network, settings: Collection[str]) -> dict[str, Value]:
    """What a new controller has on its panel."""
    return {row.name: row.initial for row in network.inputs if row.name in settings}
