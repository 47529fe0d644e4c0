"""Turns the arrays of a finished run into a Prediction."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.model import Plan
from steadfall.plant import fields as f
from steadfall.plant.grid.balance import Books, books
from steadfall.plant.grid.notes import WARNINGS, noticed, stop_reason
from steadfall.plant.grid.whole import Grid, State
from steadfall.predict.inputs.scenario import Course
from steadfall.predict.loop import ENDED, FINISHED, NOW, STOPPED, TOO_LONG, UNTIL
from steadfall.predict.outcome.judge import goal_margin, limit_margin
from steadfall.predict.outcome.notes import Finish, finish_of, notes
from steadfall.predict.outcome.result import (
    CircuitUse,
    GoalResult,
    LimitResult,
    Moment,
    Note,
    Prediction,
    Settings,
    ValveUse,
)
from steadfall.predict.outcome.strain import peak, residue, strains
from steadfall.predict.outcome.verdict import Verdict, verdict
from steadfall.predict.record import Record
from steadfall.predict.tape import Tape
from steadfall.predict.watch import Watch
from steadfall.quantities import CIRCUIT_PRESSURE, STEAM_FLOW, clock
from steadfall.roles import stage

ENDINGS: Mapping[int, str] = {
    UNTIL: "the scenario's time was over",
    FINISHED: "every goal was reached and the finish was done",
    TOO_LONG: (
        "the longest time that the scenario allows was over before every goal was reached and the finish done"
    ),
    STOPPED: "the plant left what can be computed; see the notes",
}
BY_DONE: Mapping[int, str] = {  # where the plan says what ends a cool-down
    FINISHED: "the controller ended the cool-down and the finish was done",
    TOO_LONG: "the longest time that the scenario allows was over before the controller ended the cool-down",
}
COMPLETE = (UNTIL, FINISHED)

# Measured by `make bench` on the example plans; repeated there with every change of the setting.
COARSE = (
    "coarse setting, {cells} cells and scans of {ms} ms: on the example plans times are within 4 % of the "
    "fine setting and water within 12 %, but pressures of single doses up to a third and wall shock up to "
    "two fifths too high; no finer grid was run beside it, so that nothing says what hangs on the grid"
)
BRISK = (
    "where no command has changed for {calm:g} s the plant takes steps of up to {stride:g} s: on the example "
    "plans goals come up to 2 % later so"
)


@frozen(eq=False)
class Finished:
    """A run that is over, as the loop left it."""

    plan: Plan
    course: Course
    settings: Settings
    grid: Grid
    state: State
    watch: Watch
    record: Record
    tape: Tape
    clock: NDArray[np.int64]


def gather(run: Finished, only: Collection[str] | None = None) -> Prediction:
    """Everything that a run found, as frozen data; of what was recorded, these names only."""
    end, why = int(run.clock[NOW]), int(run.clock[ENDED])
    side, closed = plant_side(run.plan), books(run.grid, run.state)
    uses = tuple(_circuits(run, side, closed))
    return Prediction(
        plan=run.plan,
        scenario=run.course.name,
        settings=run.settings,
        trace=run.tape.trace(run.plan, end, only),
        end_ms=end,
        ended={**ENDINGS, **(BY_DONE if run.plan.done else {})}[why],
        complete=why in COMPLETE,
        limits=tuple(_limits(run.plan, run.watch)),
        goals=tuple(_goals(run.plan, run.watch)),
        moments=tuple(_moments(run.plan, run.tape)),
        circuits=uses,
        valves=tuple(_valves(run.plan, run.tape, end)),
        balance=closed.errors if closed.circuits else {},
        notes=(*_notes(run), *notes(side, uses, _finishes(run.plan, run.tape), run.grid, run.record)),
        strains=strains(side, run.grid, run.state, run.record),
    )


def _notes(run: Finished) -> Iterator[Note]:
    """What was assumed, why the run stopped, and what left the range of its correlation, in that order."""
    yield from (Note("", remark) for remark in (*run.course.remarks, *run.grid.notes))
    if run.settings.scan_ms > run.plan.scan.longest_ms:
        yield Note("", COARSE.format(cells=run.settings.cells, ms=run.settings.scan_ms))
    if run.settings.stride_ms:
        calm, stride = run.settings.calm_ms / 1000, run.settings.stride_ms / 1000
        yield Note("", BRISK.format(calm=calm, stride=stride))
    reason = stop_reason(run.grid, run.state)
    if reason is not None:
        yield Note(reason.circuit, f"stopped at {clock(1000 * reason.time)}: {reason.text}")
    found = sorted(noticed(run.grid, run.state), key=lambda one: one.bit not in WARNINGS)
    yield from (Note(one.circuit, one.text, round(1000 * one.time)) for one in found)


def _limits(plan: Plan, watch: Watch) -> Iterator[LimitResult]:
    for limit, worst, ms in zip(plan.limits, watch.limit_worst, watch.limit_ms, strict=True):
        if ms < 0:
            yield LimitResult(limit, None, None, Verdict.KEPT)
            continue
        yield LimitResult(limit, float(worst), int(ms), verdict([limit_margin(limit, float(worst))]))


def _goals(plan: Plan, watch: Watch) -> Iterator[GoalResult]:
    for i, goal in enumerate(plan.goals):
        at = int(watch.goal_reached_ms[i])
        reached = None if at < 0 else at
        yield GoalResult(
            goal,
            reached,
            float(watch.goal_nearest[i]),
            int(watch.goal_nearest_ms[i]),
            verdict([goal_margin(goal, reached)]),
        )


def _moments(plan: Plan, tape: Tape) -> Iterator[Moment]:
    found = []
    for circuit in plan.circuits:
        kind = plan.type_of(circuit)
        names = ["idle", *(one.name for one in kind.stages), *(step.name for step in kind.finish)]
        times, stages = tape.changes(stage(circuit))
        found += [Moment(int(ms), circuit, names[stage]) for ms, stage in zip(times, stages, strict=True)]
    yield from sorted(found, key=lambda moment: moment.time_ms)


def _finishes(plan: Plan, tape: Tape) -> dict[str, Finish]:
    stages = {circuit: tape.changes(stage(circuit))[1].tolist() for circuit in plan.circuits}
    return {circuit: finish_of(plan.type_of(circuit), through) for circuit, through in stages.items()}


def _circuits(run: Finished, side: Plan, closed: Books) -> Iterator[CircuitUse]:
    for c, circuit in enumerate(side.circuits):
        pressure = peak(run.grid, run.record, CIRCUIT_PRESSURE.named(circuit))
        steam = peak(run.grid, run.record, STEAM_FLOW.named(circuit))
        liquid = float(run.state.cells[c, :, f.ML] @ run.state.cells[c, :, f.SIZE])
        amounts = closed.circuits[circuit]
        yield CircuitUse(
            circuit=circuit,
            water=amounts.water_in,
            evaporated=amounts.evaporated,
            water_left=amounts.held,
            air=amounts.air_in,
            heat=amounts.heat_to_liquid + amounts.heat_to_gas,
            peak_pressure=pressure.value,
            peak_ms=pressure.time_ms,
            steam_out=amounts.steam_out,
            flashed_out=amounts.flashed_out,
            peak_steam=steam.value,
            peak_steam_ms=steam.time_ms,
            reversals=int(run.state.circuit[c, f.REVERSALS]),
            geysers=int(run.state.circuit[c, f.GEYSERS]),
            liquid_left=liquid,
            flash_volume=residue(run.plan, circuit, liquid),
            heat_to_water=amounts.heat_to_liquid,
            heat_from_host=amounts.heat_from_host,
        )


def _valves(plan: Plan, tape: Tape, end: int) -> Iterator[ValveUse]:
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            name = f"{circuit}.{valve.name}"
            times, values = tape.changes(name)
            openings = int(np.count_nonzero(values))
            lengths = np.diff(np.append(times, end))
            yield ValveUse(
                name,
                openings,
                float(lengths[values == 1].sum()) / 1000,
                openings / valve.life if valve.life else None,
            )
