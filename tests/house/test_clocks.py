"""No test judges by the clock on the wall: what it says must not hang on how busy the machine is."""

from __future__ import annotations

import ast
from pathlib import Path

TESTS = Path(__file__).parents[1]
CLOCKS = {"time", "monotonic", "perf_counter", "process_time", "time_ns", "monotonic_ns", "perf_counter_ns"}


def readings(source: str) -> list[int]:
    """The lines on which a clock is read."""
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
    return [
        call.lineno
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr in CLOCKS
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == "time"
    ]


def test_a_clock_is_seen() -> None:
    assert readings("import time\nbegin = time.perf_counter()\n") == [2]


def test_no_test_reads_a_clock() -> None:
    found = {
        str(path.relative_to(TESTS)): lines
        for path in TESTS.rglob("*.py")
        if (lines := readings(path.read_text(encoding="utf-8")))
    }
    assert not found
