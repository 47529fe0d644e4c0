"""The fast scan one scan at a time, with the same face as the interpreter's `Scanner`."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.network import Network
from steadfall.logic.nodes import LARGEST, Type, Value
from steadfall.scan.kernel import scan_once
from steadfall.scan.program import compile_network, fresh


class Machine:
    """The fast twin of `scan.interpreter.Scanner`."""

    def __init__(self, network: Network) -> None:
        self.program = compile_network(network)
        self.registers = fresh(self.program)
        self.inputs = {row.name: row for row in network.inputs}

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> Mapping[str, Value]:
        """One scan, `dt_ms` after the last one; returns every signal and timer ET."""
        if not 0 <= dt_ms <= LARGEST:
            raise ValueError(f"no scan can follow the last one after {dt_ms} ms")
        for name, value in inputs.items():
            if name not in self.inputs:
                raise KeyError(f"'{name}' is not an input")
            self.inputs[name].check(value)
            kind, place = self.program.register(name)
            (self.registers.ints if kind == "ints" else self.registers.reals)[place] = value
        scan_once(self.program.code, *self.registers, dt_ms)
        return {name: self.value(name) for name in self.program.where}

    def value(self, name: str) -> Value:
        """A signal's value now."""
        kind, place = self.program.register(name)
        if kind == "reals":
            return float(self.registers.reals[place])
        value = int(self.registers.ints[place])
        return bool(value) if self.program.types.get(name) is Type.BOOL else value
