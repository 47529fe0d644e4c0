"""Every single failure of the demo plan, on two processes and on one."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.table import Row
from steadfall.plan.read.whole import read_file
from steadfall.predict.run import coarse, predict
from steadfall.progress import SILENT
from steadfall.upset.failures import failures
from steadfall.upset.table import table
from steadfall.workers import Processes

DEMO = Path(__file__).parents[1] / "examples" / "press.yaml"


def rows() -> Iterator[Row]:
    plan = read_file(str(DEMO))
    predict(plan, settings=coarse(plan))  # the kernels are there
    taken = {}
    for many in (2, 1):
        start = time.perf_counter()
        found = table(plan, failures(plan), Processes(many), SILENT)
        taken[many] = time.perf_counter() - start
    yield Row(f"table of {found.tried} single failures, 2 processes", taken[2], "s", 60.0)
    yield Row("the same table, 1 process against 2", taken[1] / taken[2], "", 1.8, at_least=True)


if __name__ == "__main__":
    for row in rows():
        print(row)
