"""A prediction of any plan with invented signals: no physics, but every name that a run would record."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from steadfall.plan.model import Dose, Open, Plan, Share
from steadfall.predict.outcome.result import (
    CircuitUse,
    GoalResult,
    LimitResult,
    Moment,
    Prediction,
    Settings,
    ValveUse,
)
from steadfall.predict.outcome.verdict import Verdict
from steadfall.trace.trace import Trace, Track

END_MS = 30 * 60_000
RECORD_MS = 500
RECORDS = END_MS // RECORD_MS + 1
UNITS = {
    "pressure": "Pa",
    "water_flow": "kg/s",
    "air_flow": "kg/s",
    "steam_flow": "kg/s",
    "water_held": "kg",
    "heat": "W",
}
USUAL = {"Pa": (1.4e5, 2.5e5), "kg/s": (0.0, 0.2), "kg": (0.0, 2.0), "W": (0.0, 5e4), "%": (0.0, 100.0)}
QUANTITIES = (
    *("outlet_temperature", "pressure", "wall", "wall.coldest", "wall.hottest", "water_flow", "air_flow"),
    *("steam_flow", "water_held", "heat", "wall_shock"),
)


def invented(plan: Plan) -> Prediction:
    chance = np.random.default_rng(20261125)
    tracks = [*quantities(plan, chance), *logic(plan)]
    trace = Trace({track.name: track for track in tracks}, END_MS)
    return Prediction(
        plan=plan,
        scenario="strongest call",
        settings=Settings(),
        trace=trace,
        end_ms=END_MS,
        ended="the scenario's time was over",
        complete=True,
        limits=tuple(
            LimitResult(limit, limit.value * 0.9, 60_000 * n, verdict=Verdict.KEPT)
            for n, limit in enumerate(plan.limits)
        ),
        goals=tuple(
            GoalResult(goal, 1_500_000, goal.value, 1_500_000, verdict=Verdict.KEPT) for goal in plan.goals
        ),
        moments=tuple(moment for name in plan.circuits for moment in moments(plan, name)),
        circuits=tuple(CircuitUse(name, 10.0, 5.0, 0.1, 8.0, 2e7, 3e5, 30_000) for name in plan.circuits),
        valves=tuple(
            ValveUse(f"{name}.{valve}", 3, 60.0, None)
            for name in plan.circuits
            for valve in plan.type_of(name).valves
        ),
        balance={"water": 0.0, "air": 0.0, "energy": 1e-6},
        notes=(),
    )


def quantities(plan: Plan, chance: np.random.Generator) -> list[Track]:
    names = [part for body in plan.bodies for part in (body, f"{body}.surface", f"{body}.core")]
    names += [part for gas in plan.gas_streams for part in (gas, f"{gas}.after_coil")]
    names += [f"{circuit}.{quantity}" for circuit in plan.circuits for quantity in QUANTITIES]
    made = [sampled(name, UNITS.get(name.rpartition(".")[2], "K"), chance) for name in names]
    for ramp in plan.ramps:
        made += [sampled(ramp, "%", chance), sampled(f"{ramp}.set_point", "K", chance)]
    return made


def sampled(name: str, unit: str, chance: np.random.Generator) -> Track:
    times = np.arange(RECORDS, dtype=np.int64) * RECORD_MS
    fall = np.exp(-times / END_MS * 2.0)
    if unit == "K":
        values = 300.0 + 150.0 * fall + chance.uniform(-8, 8) + chance.normal(0, 0.3, RECORDS)
    else:
        low, high = USUAL[unit]
        values = low + (high - low) * fall * (0.6 + 0.4 * np.sin(times / 3200.0 * 2 * np.pi))
    spread = 0.02 * np.ptp(values)
    return Track(name, "real", unit, times, values, values - spread, values + spread, step=False)


def stage_times(plan: Plan, circuit: str) -> list[int]:
    """The start of each stage and finish step, then of idle."""
    kind = plan.type_of(circuit)
    count = len(kind.stages) + len(kind.finish) + 1
    return [END_MS * place // count for place in range(count)]


def moments(plan: Plan, circuit: str) -> list[Moment]:
    kind = plan.type_of(circuit)
    names = [*(stage.name for stage in kind.stages), *(step.name for step in kind.finish), "idle"]
    return [Moment(when, circuit, name) for when, name in zip(stage_times(plan, circuit), names, strict=True)]


def logic(plan: Plan) -> list[Track]:
    made = []
    for circuit in plan.circuits:
        kind = plan.type_of(circuit)
        times = stage_times(plan, circuit)
        numbers = [*range(1, len(times)), 0]
        made.append(
            Track(f"{circuit}.stage", "int", "", np.array(times, np.int64), np.array(numbers, np.int64))
        )
        states = [*(stage.actions for stage in kind.stages), *(step.actions for step in kind.finish)]
        for valve in kind.valves.values():
            changes = [(0, False)]
            for actions, start, end in zip(states, times, times[1:], strict=False):
                changes += toggles(actions.get(valve.name), start, end)
            changes.append((times[-1], valve.rest == "open"))
            when, values = zip(*changes, strict=True)
            made.append(step(f"{circuit}.{valve.name}", np.array(when, np.int64), np.array(values, np.bool_)))
    return made


def toggles(action: Open | Dose | Share | None, start: int, end: int) -> list[tuple[int, bool]]:
    if action is None:
        return [(start, False)]
    if isinstance(action, Open):
        return [(start, True)]
    length, cycle = (
        (action.open_ms, action.open_ms + action.shut_ms)
        if isinstance(action, Dose)
        else (900, action.cycle_ms)
    )
    return [
        (when, value)
        for dose in range(start, end, cycle)
        for when, value in ((dose, True), (dose + length, False))
    ]


def step(name: str, times: NDArray[np.int64], values: NDArray[np.bool_]) -> Track:
    order = np.argsort(times, kind="stable")
    return Track(name, "bool", "", times[order], values[order])
