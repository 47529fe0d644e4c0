"""Runs one plan many times, each with other numbers, on several processes or a cluster.

Rule of this file: a task carries everything that its process needs, and the same row gives the same outcome
in any process and order; nothing is shared.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.logic.build.whole import build
from steadfall.plan.keys.numbers import tolerances
from steadfall.plan.model import Plan
from steadfall.plant.grid.uncertainty import doubted, doubts, with_hosts_off
from steadfall.plant.grid.whole import lay_out
from steadfall.predict.inputs.scenario import course
from steadfall.predict.outcome.result import Load, Prediction, Settings
from steadfall.predict.run import PlantRun
from steadfall.progress import SILENT, Progress
from steadfall.scan.program import compile_network
from steadfall.workers import Crew

TASKS_PER_WORKER = 8  # so that a slow run does not keep the other processes waiting, and progress is seen
Reals = NDArray[np.float64]


@frozen(eq=False)
class Task:
    """Some rows of the sample: for each uncertain number a value in 0 .. 1."""

    plan: Plan
    scenario: str | None
    settings: Settings
    first: int
    rows: Reals
    times_s: Reals  # moments at which curves are kept


@frozen(eq=False)
class Outcome:
    """What one run came to."""

    row: int
    complete: bool
    worst: tuple[float, ...]  # of each limit, nan where it never applied
    strains: Mapping[tuple[str, Load], float]  # Pa, by what it is about and what it is
    reached: tuple[float, ...]  # s, of each goal, nan where it was not
    curves: Reals  # bodies and gas streams x moments, K


def names(plan: Plan) -> tuple[str, ...]:
    """The uncertain numbers: the plan's tolerances, then the model's own."""
    return (*(one.of for one in plan.tolerances), *(doubt.name for doubt in doubts(plan)))


def varied(plan: Plan, row: Reals) -> Plan:
    """The plan with each number off as the row says: 0 is the lower end of its tolerance, 1 the upper."""
    known = tolerances(plan)
    for one, at in zip(plan.tolerances, row, strict=False):
        plan = known[one.of].off(plan, one.value * (2.0 * float(at) - 1.0))
    return plan


def factors(plan: Plan, row: Reals) -> tuple[float, ...]:
    """The model's factors from the rest of a row: even in the logarithm between their ends."""
    rest = row[len(plan.tolerances) :]
    return tuple(
        float(doubt.low * (doubt.high / doubt.low) ** at)
        for doubt, at in zip(doubts(plan), rest, strict=True)
    )


def work(task: Task) -> list[Outcome]:
    """Run every row of a task."""
    network = build(task.plan)
    kept = (*task.plan.bodies, *task.plan.gas_streams)
    program = compile_network(network)
    run = course(task.plan, task.scenario)
    found = []
    for k, row in enumerate(task.rows):
        off = factors(task.plan, row)
        plan = with_hosts_off(varied(task.plan, row), off)
        grid = doubted(lay_out(plan, task.settings.cells, task.settings.step), off)
        result = PlantRun(plan, run, task.settings, network, program, grid).through(SILENT, kept)
        found.append(outcome(task.first + k, result, task.times_s))
    return found


def outcome(row: int, result: Prediction, times_s: Reals) -> Outcome:
    """What is kept of a run; a curve holds its last value after the end."""
    curves = []
    for name in (*result.plan.bodies, *result.plan.gas_streams):
        times, values = result.arrays(name)
        curves.append(np.interp(times_s, times, values))
    return Outcome(
        row=row,
        complete=result.complete and result.books_close,
        worst=tuple(np.nan if one.worst is None else one.worst for one in result.limits),
        strains={(one.about, one.what): one.value for one in result.strains},
        reached=tuple(np.nan if one.reached_ms is None else one.reached_ms / 1000 for one in result.goals),
        curves=np.array(curves),
    )


def sweep(tasks: list[Task], crew: Crew, progress: Progress) -> list[Outcome]:
    """Every outcome in the order of the rows; `progress` is told as they come."""
    total = sum(len(task.rows) for task in tasks)
    found: list[Outcome] = []
    for outcomes in crew.each(work, tasks):
        found += outcomes
        progress.step(len(found), total, "runs within the tolerances")
    return sorted(found, key=lambda one: one.row)
