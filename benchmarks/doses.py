"""A search for doses in the demo plan: 1,000 cool-downs, four numbers a type; two processes over one."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.table import Row
from steadfall.dose.hunt import Hands, Hunt, Wish
from steadfall.dose.variable import own
from steadfall.dose.variables import variables
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.run import coarse, predict
from steadfall.progress import SILENT
from steadfall.workers import Processes, staying

DEMO = Path(__file__).parents[1] / "examples" / "press.yaml"
TRIES = 1000
NAME = "doses of the demo plan, 1000 cool-downs, {} {}"


def rows() -> Iterator[Row]:
    plan = read_file(str(DEMO))
    predict(plan, settings=coarse(plan))  # the kernels are there
    one, two = each(plan, 1), each(plan, 2)
    yield Row(NAME.format(2, "processes"), TRIES * two, "s", 60.0)
    yield Row(NAME.format(1, "process"), TRIES * one, "s")
    yield Row("doses of the demo plan, two processes over one", one / two, "x", 1.8, at_least=True)


def each(plan: Plan, processes: int) -> float:
    """Seconds for each cool-down that was tried, once the processes are there."""
    four = [one for one in variables(plan) if not one.what.startswith("climb")][:4]
    with staying(Processes(processes)) as crew:
        hunt = Hunt(plan, four, Wish(tries=TRIES), Hands(crew, SILENT))
        hunt.run([own(plan, four)] * processes, {}, (0, processes))
        hunt.known.clear()
        start = time.perf_counter()
        hunt.look([own(plan, four)], TRIES)
        return (time.perf_counter() - start) / len(hunt.known)


if __name__ == "__main__":
    for row in rows():
        print(row)
