"""Runs of one plan with single failures, from saved states of the run in which nothing fails.

Rule of this file: a task carries everything that its process needs, and the same failure gives the same
outcome in any process and order. What comes before a failure is not computed again; and where nothing is left
of a failure by a later moment, or nothing but the failure itself, nor is what comes after. Failures of inputs
share what the plant does for as long as the controller orders the same of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
from attrs import evolve, frozen

from steadfall.plan.model import Plan
from steadfall.predict.inputs.scenario import course
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import PlantRun, predict
from steadfall.predict.shared import SharedRun
from steadfall.progress import SILENT
from steadfall.upset.failures import Failure, upsets
from steadfall.upset.moments import When, circuit_of, moments
from steadfall.upset.outcome import Outcome, looked_at, outcome
from steadfall.workers import Packed

# From a moment until two runs are compared: what the logic makes of an input that fails follows a scan or two
# later.
SETTLED_MS = 1_000


@frozen
class Trial:
    """A failure and the moments at which it is tried, in time order."""

    failure: Failure
    whens: tuple[When, ...]


@frozen(eq=False)
class Usual:
    """The run in which nothing fails on one grid, saved where a failure may begin."""

    saved: Mapping[int, SharedRun]
    result: Prediction  # what an outcome looks at, no more
    outcome: Outcome

    def at(self, trials: Iterable[Trial]) -> Usual:
        """The same with no more states than some trials begin at: they are handed on."""
        begins = {when.time_ms for trial in trials for when in trial.whens}
        return evolve(self, saved={ms: run for ms, run in self.saved.items() if ms in begins})

    def alone(self) -> Usual:
        """The same for failures that share nothing: its states without what others could follow."""
        return evolve(self, saved={ms: run.alone() for ms, run in self.saved.items()})


@frozen(eq=False)
class Task:
    """Some trials on one grid."""

    plan: Plan
    usual: Packed[Usual]
    trials: tuple[Trial, ...]

    def work(self) -> list[Tried]:
        """Every trial."""
        usual = self.usual.open()
        return [one for trial in self.trials for one in _tried(self.plan, usual, trial)]


@frozen(eq=False)
class Start:
    """What is tried on one grid, and the run in which nothing fails, from which it begins."""

    trials: tuple[Trial, ...]
    usual: Usual


@frozen(eq=False)
class Starting:
    """The task to make that of a grid."""

    plan: Plan
    settings: Settings
    chosen: tuple[Failure, ...]

    def work(self) -> Start:
        """A run tells the moments, a second one stands at each of them."""
        found = trials(self.plan, self.chosen, predict(self.plan, settings=self.settings))
        return Start(found, usual(self.plan, self.settings, found))


def ready() -> None:
    """Called first in a process: by then it has loaded all that this file needs."""


def work(task: Task | Starting) -> list[Tried] | Start:
    """What comes of a task."""
    return task.work()


def trials(plan: Plan, chosen: Iterable[Failure], nominal: Prediction) -> tuple[Trial, ...]:
    """Every failure with its moments in a run in which nothing fails."""
    found = []
    for one in chosen:
        whens = moments(nominal, circuit_of(plan, one))
        found.append(Trial(one, whens[:1] if one.at_start_only else whens))
    return tuple(found)


@frozen
class Tried:
    """What came of a failure that began at a moment."""

    failure: str
    when: When
    outcome: Outcome
    same: bool = False  # the run is the one of the next moment: nothing had changed by then


@frozen(eq=False)
class _Later:
    """What is known of the same failure at the next moment: its run a little later, and what came of it."""

    tried: Tried
    early: PlantRun


def usual(plan: Plan, settings: Settings, trials: Sequence[Trial]) -> Usual:
    """The run in which nothing fails, saved at every moment of the trials."""
    begins = {when.time_ms for trial in trials for when in trial.whens}
    edges = tuple(sorted(begins | {ms + SETTLED_MS for ms in begins}))
    run = SharedRun(plan, course(plan), settings, edges, looked_at(plan))
    saved: dict[int, SharedRun] = {}
    for ms in sorted(begins):
        run.until(ms)
        saved[ms] = run.branch(())
    result = run.through(SILENT, looked_at(plan))
    return Usual(saved, result, outcome(result, None, 0))


def _tried(plan: Plan, usual: Usual, trial: Trial) -> Iterator[Tried]:
    """The moments backwards: what comes later is known when an earlier run turns out to be the same."""
    later: _Later | None = None
    for place in range(len(trial.whens) - 1, -1, -1):
        when, after = trial.whens[place], trial.whens[place + 1 :]
        run = usual.saved[when.time_ms].branch(upsets(plan, trial.failure, when.time_ms))
        run.let_happen()
        ends = bool(run.due)
        run.until(when.time_ms + SETTLED_MS)
        early = run.branch(())
        same = False
        if ends:
            found = _without_trace(usual, run, after)
        else:
            same = later is not None and _caught_up(run, later)
            found = later.tried.outcome if later and same else None
        if found is None:
            found = outcome(run.through(SILENT, looked_at(plan)), usual.result, when.time_ms)
        later = _Later(Tried(trial.failure.name, when, evolve(found, since_ms=when.time_ms), same), early)
        yield later.tried


def _without_trace(usual: Usual, run: PlantRun, after: Sequence[When]) -> Outcome | None:
    """What the run in which nothing fails came to, where a failure that is over has left nothing behind."""
    for when in after:
        run.until(when.time_ms)
        if alike(run, usual.saved[when.time_ms]):
            return usual.outcome
    return None


def _caught_up(run: PlantRun, later: _Later) -> bool:
    """Whether a failure that lasts has changed nothing by the next moment at which it begins."""
    run.until(later.tried.when.time_ms + SETTLED_MS)
    return alike(run, later.early)


def alike(one: PlantRun, two: PlantRun) -> bool:
    """Whether two runs have said the same and go on in the same way, to the bit; an input is read anew in
    each scan, and the pressure before each valve in each step.
    """
    if one.over() or two.over() or one.due or two.due:
        return False
    return all(
        np.array_equal(a, b, equal_nan=a.dtype.kind == "f")
        for a, b in zip(_kept(one), _kept(two), strict=True)
    )


def _kept(run: PlantRun) -> Iterator[np.ndarray[tuple[int, ...], np.dtype[np.generic]]]:
    """What two runs must have alike, the likeliest to differ first."""
    yield from run.state._replace(pressure=np.zeros(0))
    yield run.clock
    yield from run.wiring
    yield from run.watch
    constants = run.grid.constants
    yield from (constants.valves, constants.supply, constants.circuit, constants.stream_flow)
    yield from (run.record.peak, run.record.peak_ms, run.registers.commands)
    ints, reals = run.registers.ints.copy(), run.registers.reals.copy()
    switch = run.wiring.sensor_switch != 0
    ints[run.wiring.sensor_register[switch]] = 0
    reals[run.wiring.sensor_register[~switch]] = 0.0
    yield from (ints, reals, run.tape.said(run.plan.inputs))
