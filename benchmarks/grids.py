"""What figures owe to the grid: `python -m benchmarks.grids` (some minutes), or with names of plans and
numbers of cells, `python -m benchmarks.grids press,hosts 20,80`: examples, and those of tests/plans/good.

Each example on every pair of cells and step, then a platen (invented) under a full stream and under doses.
docs/physics.md, section 7, is written from it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from itertools import product
from pathlib import Path

from attrs import evolve
from tests.plant import plants
from tests.plant.running import Run

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.plant import fields as f
from steadfall.predict.outcome.result import Load, Prediction
from steadfall.predict.run import fine, predict
from steadfall.quantities import PRESSURE, STRESS, WALL_SHOCK, clock
from steadfall.report.words.items import limit_items

ROOT = Path(__file__).parents[1]
EXAMPLES = {path.stem: path for path in sorted((ROOT / "examples").glob("*.yaml"))}
PLANS = EXAMPLES | {path.stem: path for path in sorted((ROOT / "tests" / "plans" / "good").glob("*.yaml"))}
CELLS = (20, 40, 80, 160)
STEPS_MS = (20.0, 10.0, 5.0, 2.5)
READINGS = {Load.PRESSURE: PRESSURE, Load.STRESS: STRESS}
DOSE: tuple[tuple[float, tuple[str, ...]], ...] = ((1.0, ("small", "air")), (3.0, ("air",)))
PHASES = {"full stream, 150 s": ((150.0, ("main",)),), "doses of 1 s in 4 s, 600 s": DOSE * 150}


def run(plan: Plan, cells: int, step_ms: float) -> Prediction:
    """The plan on one grid, alone."""
    settings = fine(plan, cells=cells)
    return predict(plan, settings=evolve(settings, steps_per_scan=round(settings.scan_ms / step_ms)))


def figures(result: Prediction) -> Iterator[str]:
    """Peak pressures, shocks and stresses, the worst of each limit that is none of these, each goal."""
    for circuit in result.plan.circuits:
        shock = result.trace.tracks[WALL_SHOCK.named(circuit)].high
        yield f"{circuit} {max(shock) if shock is not None else float('nan'):.1f} K"
    for strain in result.strains:
        if strain.what in READINGS:
            yield f"{strain.about} {READINGS[strain.what].text(strain.value)}"
    yield from (
        f"{item.of} {item.worst}"
        for item, row in zip(limit_items(result), result.limits, strict=True)
        if row.limit.measure == "fall_rate"
    )
    yield from (clock(goal.reached_ms) if goal.reached_ms else "not reached" for goal in result.goals)


def on_grids(names: Iterable[str], cells: Iterable[int], steps: Iterable[float]) -> Iterator[str]:
    """A line for each plan on each grid."""
    for name, many, step in product(names, tuple(cells), tuple(steps)):
        found = run(read_file(PLANS[name]), many, step)
        yield f"{name:<20} {many:>4} cells {step:>5g} ms   {'   '.join(figures(found))}"


def platen() -> Iterator[str]:
    """A line for each grid, under a full stream and under doses."""
    for (name, phases), (many, step) in product(PHASES.items(), ((5, 20), (20, 20), (20, 2.5), (80, 20))):
        one, shock = Run(plants.platen(), many, step / 1000), 0.0
        for seconds, valves in phases:
            for _ in range(round(seconds / 0.1)):  # what is worst lies between the ends of a phase
                shock = max(shock, one.go(0.1, *valves).own(f.SHOCK))
        platen, peak = one.see("platen") - plants.K0, PRESSURE.text(one.own(f.PEAK))
        yield f"{name:<27} {many:>4} cells {step:>5g} ms   {platen:.2f} degC   {peak}   {shock:.1f} K"


def main(arguments: list[str]) -> int:
    """Print every line as it is found."""
    names = arguments[0].split(",") if arguments else list(EXAMPLES)
    cells = [int(many) for many in arguments[1].split(",")] if len(arguments) > 1 else CELLS
    for line in on_grids(names, cells, STEPS_MS):
        print(line, flush=True)
    if not arguments:
        for line in platen():
            print(line, flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
