"""Runs of one plan with single failures, from saved states of the run in which nothing fails.

Rule of this file: a task carries everything that its process needs, and the same failure gives the same
outcome in any process and order. What comes before a failure is not computed again; and where a failure has
changed nothing by the next moment at which it is tried, nor is what comes after.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from attrs import evolve, frozen

from steadfall.plan.model import Plan
from steadfall.predict.inputs.scenario import course
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import PlantRun, start
from steadfall.progress import SILENT
from steadfall.upset.failures import Failure, upsets
from steadfall.upset.moments import When
from steadfall.upset.outcome import Outcome, outcome


@frozen
class Trial:
    """A failure and the moments at which it is tried, in time order."""

    failure: Failure
    whens: tuple[When, ...]


@frozen(eq=False)
class Task:
    """Some trials on one grid."""

    plan: Plan
    settings: Settings
    trials: tuple[Trial, ...]


@frozen
class Tried:
    """What came of a failure that began at a moment."""

    failure: str
    when: When
    outcome: Outcome
    same: bool = False  # the run is the one of the next moment: nothing had changed by then


def work(task: Task) -> list[Tried]:
    """Every trial of a task."""
    times = sorted({when.time_ms for trial in task.trials for when in trial.whens})
    run = start(task.plan, course(task.plan), task.settings)
    saved: dict[int, PlantRun] = {}
    for ms in times:
        run.until(ms)
        saved[ms] = run.branch(())
    nominal = run.through(SILENT)
    return [one for trial in task.trials for one in _tried(task.plan, trial, saved, nominal)]


def _tried(plan: Plan, trial: Trial, saved: Mapping[int, PlantRun], nominal: Prediction) -> Iterator[Tried]:
    """The moments backwards: what comes later is known when an earlier run turns out to be the same."""
    later: Tried | None = None
    for when in reversed(trial.whens):
        run = _failing(plan, trial.failure, when, saved)
        same = False
        if later is not None and trial.failure.lasts:
            run.until(later.when.time_ms)
            same = alike(run, _failing(plan, trial.failure, later.when, saved))
        if later is None or not same:
            later = Tried(trial.failure.name, when, outcome(run.through(SILENT), nominal, when.time_ms))
        else:
            found = evolve(later.outcome, since_ms=when.time_ms)
            later = Tried(trial.failure.name, when, found, same=True)
        yield later


def _failing(plan: Plan, failure: Failure, when: When, saved: Mapping[int, PlantRun]) -> PlantRun:
    """The run from a moment on, in which it has gone wrong."""
    run = saved[when.time_ms].branch(upsets(plan, failure, when.time_ms))
    run.let_happen()
    return run


def alike(one: PlantRun, two: PlantRun) -> bool:
    """Whether two runs go on in the same way, to the bit; an input is read anew in each scan, and the
    pressure before each valve in each step.
    """
    if one.over() or two.over() or one.due or two.due:
        return False
    return all(
        np.array_equal(a, b, equal_nan=a.dtype.kind == "f")
        for a, b in zip(_kept(one), _kept(two), strict=True)
    )


def _kept(run: PlantRun) -> Sequence[np.ndarray[tuple[int, ...], np.dtype[np.generic]]]:
    ints, reals = run.registers.ints.copy(), run.registers.reals.copy()
    switch = run.wiring.sensor_switch != 0
    ints[run.wiring.sensor_register[switch]] = 0
    reals[run.wiring.sensor_register[~switch]] = 0.0
    constants = run.grid.constants
    plant = constants.valves, constants.supply, constants.circuit, constants.stream_flow
    peaks = run.record.peak, run.record.peak_ms
    commands = run.registers.commands
    state = run.state._replace(pressure=np.zeros(0))
    return (*state, *run.wiring, *run.watch, *plant, *peaks, run.clock, ints, reals, commands)
