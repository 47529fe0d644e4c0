"""The fast scan alone: CPU time per scan of the press plan, in a compiled loop as a prediction runs it."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from benchmarks.table import Row
from steadfall.compiled import kernel
from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file
from steadfall.scan.kernel import scan_once
from steadfall.scan.program import compile_network, fresh

EXAMPLES = Path(__file__).parent.parent / "examples"
SCANS, REPEATS = 500_000, 5


@kernel
def _scans(code: Any, ints: Any, reals: Any, dt_ms: int, count: int) -> None:
    for _ in range(count):
        scan_once(code, ints, reals, dt_ms)


def rows() -> Iterable[Row]:
    """Nanoseconds per scan, the best of some runs, with every switch on."""
    for path in sorted(EXAMPLES.glob("*.yaml")):
        plan = read_file(path)
        program = compile_network(build(plan))
        registers = fresh(program)
        for item in plan.inputs.values():
            kind, place = program.register(item.name)
            getattr(registers, kind)[place] = 1
        _scans(program.code, *registers, plan.scan.nominal_ms, 10)
        best = min(_timed(program.code, *registers, plan.scan.nominal_ms) for _ in range(REPEATS))
        yield Row(
            f"{path.stem}: one scan of {len(program.code)} instructions", best / SCANS * 1e9, "ns", 1000.0
        )


def _timed(code: Any, ints: Any, reals: Any, dt_ms: int) -> float:
    begin = time.process_time()
    _scans(code, ints, reals, dt_ms, SCANS)
    return time.process_time() - begin
