"""Two hundred runs of the demo plan for its bands, coarse setting, two processes."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.table import Row
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.spread import Survey
from steadfall.predict.run import coarse, predict
from steadfall.predict.survey.surveyed import surveyed
from steadfall.workers import Processes

DEMO = Path(__file__).parents[1] / "examples" / "press.yaml"
RUNS = 200


def rows() -> Iterator[Row]:
    plan = read_file(str(DEMO))
    result = predict(plan, settings=coarse(plan))
    start = time.perf_counter()
    surveyed(result, Survey(RUNS, crew=Processes(2)))
    yield Row(f"bands of {RUNS} runs, coarse, 2 processes", time.perf_counter() - start, "s", 90.0)


if __name__ == "__main__":
    for row in rows():
        print(row)
