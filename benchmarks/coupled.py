"""Logic and plant together after warm-up: CPU time per circuit and simulated hour; coarse against fine."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path
from statistics import median

from benchmarks.table import Row
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.grids import predict_resolved
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import coarse, fine, predict

EXAMPLES = Path(__file__).parent.parent / "examples"
REPEATS = 3


def timed(plan: Plan, settings: Settings) -> tuple[float, Prediction]:
    """The median CPU time of some runs, and the last result."""
    seconds = []
    for _ in range(REPEATS):
        begin = time.process_time()
        result = predict(plan, settings=settings)
        seconds.append(time.process_time() - begin)
    return median(seconds), result


def rows() -> Iterable[Row]:
    """CPU seconds per circuit and simulated hour, 20 cells, the plan's scan time, everything included."""
    for path in sorted(EXAMPLES.glob("*.yaml")):
        plan = read_file(path)
        predict(plan, settings=coarse(plan))
        seconds, result = timed(plan, fine(plan))
        hours = result.end_ms / 3.6e6 * len(plan.circuits)
        yield Row(f"{path.stem}: CPU per circuit and simulated hour", seconds / hours, "s", 2.0)


def resolved_rows() -> Iterable[Row]:
    """A whole prediction, with the finer grids beside it: CPU time of all threads, and the time that a person
    waits.
    """
    for path in sorted(EXAMPLES.glob("*.yaml")):
        plan = read_file(path)
        alone, _ = timed(plan, fine(plan))
        waited, begin = time.perf_counter(), time.process_time()
        predict_resolved(plan)
        work, waited = time.process_time() - begin, time.perf_counter() - waited
        yield Row(f"{path.stem}: prediction with its finer grids, CPU", work, "s", 15.0)
        yield Row(f"{path.stem}: the same, times the default grid alone", work / alone, "x")
        yield Row(f"{path.stem}: the same, as a person waits for it", waited, "s")


def coarse_rows() -> Iterable[Row]:
    """How much faster the coarse setting is, and how far its results lie from the fine ones."""
    for path in sorted(EXAMPLES.glob("*.yaml")):
        plan = read_file(path)
        slow, exact = timed(plan, fine(plan))
        quick, rough = timed(plan, coarse(plan))
        per_hour = (slow / exact.end_ms) / (quick / rough.end_ms)
        yield Row(f"{path.stem}: coarse setting, times faster", per_hour, "x", 6.0, at_least=True)
        yield from errors(path.stem, exact, rough)


def errors(name: str, exact: Prediction, rough: Prediction) -> Iterable[Row]:
    """Error of the coarse setting in the time to each goal, in water and in peak pressure."""
    for a, b in zip(exact.goals, rough.goals, strict=True):
        if a.reached_ms and b.reached_ms:
            yield Row(
                f"{name}: coarse error, time of '{a.goal.text}'", 100 * (b.reached_ms / a.reached_ms - 1), "%"
            )
    water = [sum(use.water for use in result.circuits) for result in (exact, rough)]
    peak = [max(use.peak_pressure for use in result.circuits) for result in (exact, rough)]
    yield Row(f"{name}: coarse error, water", 100 * (water[1] / water[0] - 1), "%")
    yield Row(f"{name}: coarse error, peak pressure (abs)", 100 * (peak[1] / peak[0] - 1), "%")
