"""A search for doses in the demo plan: 1,000 cool-downs, four numbers a circuit type, on two processes."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.table import Row
from steadfall.dose.hunt import Hands, Hunt, Wish
from steadfall.dose.variable import own
from steadfall.dose.variables import variables
from steadfall.plan.read.whole import read_file
from steadfall.predict.run import coarse, predict
from steadfall.progress import SILENT
from steadfall.workers import Processes, staying

DEMO = Path(__file__).parents[1] / "examples" / "press.yaml"
TRIES = 1000


def rows() -> Iterator[Row]:
    plan = read_file(str(DEMO))
    predict(plan, settings=coarse(plan))  # the kernels are there
    four = [one for one in variables(plan) if not one.what.startswith("climb")][:4]
    with staying(Processes(2)) as crew:
        hunt = Hunt(plan, four, Wish(tries=TRIES), Hands(crew, SILENT))
        start = time.perf_counter()
        hunt.look([own(plan, four)], TRIES)
        seconds = time.perf_counter() - start
    tried = len(hunt.known)
    yield Row(f"doses of the demo plan, {tried} cool-downs, 2 processes", seconds * TRIES / tried, "s", 60.0)


if __name__ == "__main__":
    for row in rows():
        print(row)
