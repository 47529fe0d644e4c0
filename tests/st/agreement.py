"""How a network and the text made from it are held against each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.scan.interpreter import Scanner
from tests.scan.agreement import bits


def _seen(value: Value) -> object:
    """A value bit for bit; but the two zeros of a REAL are one, since no comparison tells them apart."""
    return bits(value + 0.0 if isinstance(value, float) else value)


def assert_same(
    wanted: Network, got: Network, names: Iterable[str], trace: Sequence[tuple[int, Mapping[str, Value]]]
) -> None:
    """Runs both on the trace; these signals must be the same in each scan, bit for bit."""
    one, other = Scanner(wanted), Scanner(got)
    for number, (dt, inputs) in enumerate(trace):
        a, b = one.scan(dt, inputs), other.scan(dt, inputs)
        different = {name: (a[name], b[name]) for name in names if _seen(a[name]) != _seen(b[name])}
        assert not different, f"scan {number}: {different}"
