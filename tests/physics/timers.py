"""Timers of the controller against vectors, scan by scan."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.logic.nodes import Not, Previous, Ton, Type
from steadfall.scan.interpreter import Scanner
from tests.physics.check import Behaviour, Group, Row
from tests.scan.machine import Machine
from tests.scan.test_timers import VECTORS, network, numbers, preset

RULE = "IEC 61131-3:2013, 6.6.3.5.5 and figure 15 (from memory); vector by hand"


def vectors() -> Iterator[Row]:
    """Each vector through the interpreter and the compiled scan; the output is shown."""
    for name, node, ins, outs, elapsed in VECTORS:
        seen = []
        for reader in (Scanner, Machine):
            run = reader(network(node))
            rows = [run.scan(10, {"in": bool(value)}) for value in numbers(ins)]
            seen.append(([int(row["q"]) for row in rows], [row["q.ET"] for row in rows]))
        holds = all(one == (numbers(outs), numbers(elapsed)) for one in seen)
        figures = tuple(float(q) for q in seen[0][0])
        yield Behaviour(f"{name}: in {ins}", RULE, f"out {outs}", figures, holds)


def oscillator() -> Iterator[Row]:
    run = Scanner(network(Ton(Not(Previous("q", Type.BOOL)), preset(30))))
    seen = [int(run.scan(10, {})["q"]) for _ in range(200)]
    at = [k for k, q in enumerate(seen) if q]
    period = 10.0 * (at[-1] - at[0]) / (len(at) - 1)
    said = "preset and two scans: 30 + 2 x 10 ms"
    yield Behaviour("period of a timer that resets itself", RULE, said, (period,), period == 50.0, "ms")


def rows() -> Iterator[Row]:
    for part in (vectors, oscillator):
        yield from part()


TIMERS = Group(
    "Timers of the controller",
    (
        "Presets of 30 ms, where nothing else is said, and a scan each 10 ms; the interpreter and the "
        "compiled scan agree."
    ),
    rows,
)
