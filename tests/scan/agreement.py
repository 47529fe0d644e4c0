"""How two readers of one network are held against each other, bit for bit."""

from __future__ import annotations

import math
import struct
from collections.abc import Iterable, Mapping

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.scan.interpreter import Scanner
from tests.scan.machine import Machine


def bits(value: Value) -> object:
    """A value as its type and bits; every "not a number" counts as the same (its payload means nothing)."""
    if isinstance(value, float):
        return "nan" if math.isnan(value) else struct.pack("<d", value)
    return type(value), value


def assert_agree(network: Network, trace: Iterable[tuple[int, Mapping[str, Value]]]) -> None:
    """Runs both on the trace; every signal and every timer's elapsed time must be the same in each scan."""
    meaning, fast = Scanner(network), Machine(network)
    for number, (dt, inputs) in enumerate(trace):
        wanted, got = meaning.scan(dt, inputs), fast.scan(dt, inputs)
        assert set(wanted) == set(got)
        different = {
            name: (wanted[name], got[name]) for name in wanted if bits(wanted[name]) != bits(got[name])
        }
        assert not different, f"scan {number}"
