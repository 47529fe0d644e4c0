"""Turns the arrays of a finished run into a Prediction."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from steadfall.plan.model import Plan
from steadfall.plant.balance import Books, books
from steadfall.plant.grid import Grid, State
from steadfall.plant.notes import WARNINGS, noticed, stop_reason
from steadfall.predict.loop import ENDED, FINISHED, NOW, STOPPED, TOO_LONG, UNTIL
from steadfall.predict.result import (
    CircuitUse,
    GoalResult,
    LimitResult,
    Moment,
    Note,
    Prediction,
    Settings,
    ValveUse,
)
from steadfall.predict.scenario import Course
from steadfall.predict.tape import Tape
from steadfall.predict.watch import Watch

ENDINGS: Mapping[int, str] = {
    UNTIL: "the scenario's time was over",
    FINISHED: "every goal was reached and the finish was done",
    TOO_LONG: "the longest time that the scenario allows was over before every goal was reached and the finish done",
    STOPPED: "the plant left what can be computed; see the notes",
}
COMPLETE = (UNTIL, FINISHED)


def gather(
    plan: Plan,
    course: Course,
    settings: Settings,
    grid: Grid,
    state: State,
    watch: Watch,
    tape: Tape,
    clock: NDArray[np.int64],
) -> Prediction:
    """Everything that a run found, as frozen data."""
    end = int(clock[NOW])
    closed = books(grid, state)
    return Prediction(
        plan=plan,
        scenario=course.name,
        settings=settings,
        trace=tape.trace(plan, end),
        end_ms=end,
        ended=ENDINGS[int(clock[ENDED])],
        complete=int(clock[ENDED]) in COMPLETE,
        limits=tuple(_limits(plan, watch)),
        goals=tuple(_goals(plan, watch)),
        moments=tuple(_moments(plan, tape)),
        circuits=tuple(_circuits(plan, closed, tape)),
        valves=tuple(_valves(plan, tape, end)),
        balance=closed.errors,
        notes=tuple(_notes(course, grid, state)),
    )


def _notes(course: Course, grid: Grid, state: State) -> Iterator[Note]:
    """What was assumed, why the run stopped, and what left the range of its correlation, in that order."""
    yield from (Note("", remark) for remark in (*course.remarks, *grid.notes))
    reason = stop_reason(grid, state)
    if reason is not None:
        yield Note(reason.circuit, f"stopped at {_clock(reason.time)}: {reason.text}")
    found = sorted(noticed(grid, state), key=lambda one: one.bit not in WARNINGS)
    yield from (Note(one.circuit, f"from {_clock(one.time)}: {one.text}") for one in found)


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def _limits(plan: Plan, watch: Watch) -> Iterator[LimitResult]:
    for limit, worst, ms in zip(plan.limits, watch.limit_worst, watch.limit_ms, strict=True):
        if ms < 0:
            yield LimitResult(limit, None, None, True)
            continue
        kept = worst >= limit.value if limit.bound == "at_least" else worst <= limit.value
        yield LimitResult(limit, float(worst), int(ms), bool(kept))


def _goals(plan: Plan, watch: Watch) -> Iterator[GoalResult]:
    for i, goal in enumerate(plan.goals):
        reached = int(watch.goal_reached_ms[i])
        yield GoalResult(
            goal,
            None if reached < 0 else reached,
            float(watch.goal_nearest[i]),
            int(watch.goal_nearest_ms[i]),
            0 <= reached <= 1000 * goal.within,
        )


def _moments(plan: Plan, tape: Tape) -> Iterator[Moment]:
    found = []
    for circuit in plan.circuits:
        kind = plan.type_of(circuit)
        names = ["idle", *(stage.name for stage in kind.stages), *(step.name for step in kind.finish)]
        times, stages = tape.changes(f"{circuit}.stage")
        found += [Moment(int(ms), circuit, names[stage]) for ms, stage in zip(times, stages, strict=True)]
    yield from sorted(found, key=lambda moment: moment.time_ms)


def _circuits(plan: Plan, closed: Books, tape: Tape) -> Iterator[CircuitUse]:
    for circuit in plan.circuits:
        peak, at = tape.extreme(f"{circuit}.pressure")
        amounts = closed.circuits[circuit]
        yield CircuitUse(
            circuit=circuit,
            water=amounts.water_in,
            evaporated=amounts.evaporated,
            water_left=amounts.held,
            air=amounts.air_in,
            heat=amounts.heat_from_host,
            peak_pressure=peak,
            peak_ms=at,
        )


def _valves(plan: Plan, tape: Tape, end: int) -> Iterator[ValveUse]:
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            name = f"{circuit}.{valve.name}"
            times, values = tape.changes(name)
            openings = int(np.count_nonzero(values))
            lengths = np.diff(np.append(times, end))
            yield ValveUse(
                name, openings, float(lengths[values == 1].sum()) / 1000, openings / valve.life if valve.life else None
            )
