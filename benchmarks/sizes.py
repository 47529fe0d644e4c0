"""Sizing: the examples in a process that runs already, and the verb as a person types it."""

from __future__ import annotations

import time
from collections.abc import Iterable
from statistics import median

import steadfall
from benchmarks.commands import PRESS, run
from benchmarks.table import Row


def rows() -> Iterable[Row]:
    """CPU of a size with its coarse batch, kernels loaded; wall-clock time of the verb, kernels compiled."""
    plan = steadfall.read(PRESS)
    plan.size()
    taken = []
    for _ in range(5):
        begin = time.process_time()
        plan.size()
        taken.append(time.process_time() - begin)
    yield Row("size of the press and its batch, in a process that runs", median(taken), "s", 1.0)
    size = ["-m", "steadfall", "size", PRESS]
    run(size)
    yield Row("steadfall size examples/press.yaml", median(run(size)[0] for _ in range(5)), "s", 1.0)
