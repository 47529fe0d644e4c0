"""Runs of one plan with other numbers, each stopped as soon as a limit is broken.

Rule of this file: a task carries everything that its process needs, and the same point gives the same outcome
in any process and order. A try is made to compare, not to be believed: what alarms, lamps and counters hang
on is left out, and where no command changes the plant takes longer steps.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from attrs import field, frozen

from steadfall.dose.bound import PAST, Bound, figures, limits_of, missed, past
from steadfall.dose.variable import Point, Variable, put
from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plant.grid.whole import Grid, lay_out
from steadfall.predict.inputs.scenario import Course, course
from steadfall.predict.outcome.result import Prediction, Settings
from steadfall.predict.run import PlantRun
from steadfall.roles import Role
from steadfall.scan.program import compile_network
from steadfall.workers import Packed

LONGER = 1.02  # of the last goal's time: a run that is later than that has missed it on any grid
CALM_MS, STRIDE_MS = 1_000, 300  # steps so long from so long after a command on: a third less work, 2 % later
# what the plant sees of a controller, and what ends a run
DRIVING = Role.COMMAND, Role.MAIN, Role.PUMP, Role.STAGE, Role.DONE
PATIENT_MS = 7_200_000  # a run that does not stop goes on so long, to say when the goal would be reached


@frozen
class Outcome:
    """What a point came to: when the last goal was reached, water, openings, and every bound's figure."""

    time: float  # s; infinite where a goal was not reached
    water: float  # kg
    openings: int  # of all valves
    figures: Mapping[Bound, float]
    broken: Bound | None = None  # the limit at which the run was stopped
    share: float = 1.0  # how much of the cool-down was run
    missed: frozenset[Bound] = frozenset()  # goals that were not reached: their figures are no times


@frozen(eq=False)
class Ground:
    """What all tries of a search share: they differ in numbers of the controller, so one plant serves all."""

    plan: Plan
    settings: Settings
    variables: Sequence[Variable]
    grid: Grid
    way: Course


def ground(plan: Plan, settings: Settings, variables: Sequence[Variable]) -> Packed[Ground]:
    """Lay the plant of a plan out for a search."""
    grid = lay_out(plan, settings.cells, settings.step)
    return Packed.of(Ground(plan, settings, variables, grid, course(plan)))


@frozen(eq=False)
class Task:
    """Some points of a search. `shifts`: what is to be added to a coarse figure to judge it by; where
    `stops`, a run ends with the first limit that it breaks.
    """

    ground: Packed[Ground]
    points: tuple[Point, ...]
    shifts: Mapping[Bound, float] = field(factory=dict)
    stops: bool = True


def work(task: Task) -> list[tuple[Point, Outcome]]:
    """Run every point of a task."""
    return [(point, _tried(task, point)) for point in task.points]


def _tried(task: Task, point: Point) -> Outcome:
    on = task.ground.open()
    plan = put(on.plan, on.variables, point)
    network = driving(build(plan))
    run = PlantRun(plan, on.way, on.settings, network, compile_network(network), on.grid)
    run.bounds = run.bounds._replace(calm=CALM_MS, stride=STRIDE_MS)
    if on.way.until_ms is None:
        run.bounds = run.bounds._replace(longest=_longest(task, on.plan, run.bounds.longest))
    limits = limits_of(on.plan)
    while not run.over():
        run.advance()
        run.tape.take(run.record)
        broken = _first_broken(task, run, limits) if task.stops else None
        if broken is not None:
            return _stopped(run, broken, limits)
    return outcome(run.gathered(()))


def driving(network: Network) -> Network:
    """The part of a controller that drives the plant, with all inputs."""
    roots = [name for name, one in network.identities.items() if one.role in DRIVING]
    outputs = tuple(name for name in network.outputs if name in roots)
    return Network(network.inputs, cone(network, roots).assignments, outputs)


def _longest(task: Task, plan: Plan, given: int) -> int:
    """How long a run waits for its goals, in ms."""
    if not task.stops:
        return max(given, PATIENT_MS)
    return min(given, round(1000 * LONGER * max(goal.within for goal in plan.goals)))


def _first_broken(task: Task, run: PlantRun, limits: Sequence[Bound]) -> Bound | None:
    for bound, worst, ms in zip(limits, run.watch.limit_worst, run.watch.limit_ms, strict=True):
        if ms >= 0 and bound.over(float(worst) + task.shifts.get(bound, 0.0)) > 0.0:
            return bound
    return None


def _stopped(run: PlantRun, broken: Bound, limits: Sequence[Bound]) -> Outcome:
    worst = {
        bound: float(value) if ms >= 0 else math.nan
        for bound, value, ms in zip(limits, run.watch.limit_worst, run.watch.limit_ms, strict=True)
    }
    return Outcome(math.inf, math.inf, 0, worst, broken, run.share())


def outcome(result: Prediction) -> Outcome:
    """What is kept of a run that came to its end."""
    reached = [one.reached_ms for one in result.goals]
    last = math.inf if None in reached else max(ms for ms in reached if ms is not None) / 1000
    return Outcome(
        time=last,
        water=sum(use.water for use in result.circuits),
        openings=sum(use.openings for use in result.valves),
        figures=figures(result) | ({PAST: past(result)} if result.plan.done else {}),
        share=1.0 if result.complete and result.books_close else 0.0,
        missed=missed(result),
    )
