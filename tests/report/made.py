"""An invented prediction of an invented press: two platens, forty minutes, doses that interleave.

Nothing here is physics; the curves only have the shapes that a report must cope with: hundreds of doses,
pressure that beats with them, a band of wall temperatures, a limit that is broken, a late goal and a quantity
that is not drawn.
"""

from __future__ import annotations

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from steadfall.plan.model import (
    Body,
    Call,
    Circuit,
    CircuitType,
    Dose,
    FinishStep,
    Goal,
    Input,
    Io,
    Limit,
    Open,
    Outlet,
    Path,
    Plan,
    Scan,
    Stage,
    Supply,
    Valve,
)
from steadfall.plan.model.condition import Signal
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
from steadfall.predict.outcome.verdict import Verdict, verdict
from steadfall.source import Mark, Marks
from steadfall.trace.trace import Trace, Track

FINE_MS = 20
RECORD_MS = 500
END_MS = 40 * 60_000
SOAKING_MS = 12 * 60_000
FULL_MS = 19 * 60_000
BLOW_OUT_MS = 36 * 60_000
EMPTYING_MS = BLOW_OUT_MS + 20_000
IDLE_MS = EMPTYING_MS + 60_000
Floats = NDArray[np.float64]

TEXT = """\
steadfall: 1
title: Splice press 2, platen cool-down
revised: 2026-05-04
# the plan of an invented works; <only> the "shape" of a text matters here & it is not read
limits:
  - {of: splice, fall_rate: at most 4 K/min, between: 160 .. 70 degC, over: 60 s}
  - {of: upper.wall, fall_rate: at most 3 K/s}
  - {of: upper.pressure, at most: 3.5 barg}
  - {of: lower.pressure, at most: 6 barg}
  - {goal: splice below 70 degC, within: 40 min}
  - {goal: upper_platen below 60 degC, within: 30 min}
"""


def on_line(line: int) -> Marks:
    return Marks(Mark("press.yaml", line, 5))


def made_plan(text: str = TEXT, title: str = "Splice press 2, platen cool-down") -> Plan:
    return Plan(
        title=title,
        revised="2026-05-04",
        scan=Scan(20, 40, 10),
        ambient=295.15,
        supplies={
            "works_water": Supply("works_water", "water", 501_325.0, 287.15),
            "works_air": Supply("works_air", "air", 651_325.0, 293.15),
        },
        materials={},
        bodies={
            "upper_platen": Body("upper_platen", 820.0, 490.0, 438.15),
            "lower_platen": Body("lower_platen", 820.0, 490.0, 438.15),
            "splice": Body("splice", 45.0, 1900.0, 433.15),
        },
        gas_streams={},
        links=(),
        circuit_types={"platen_circuit": made_type()},
        circuits={
            "upper": Circuit("upper", "platen_circuit", "upper_platen"),
            "lower": Circuit("lower", "platen_circuit", "lower_platen", 1600),
        },
        inputs={"full_call": Input("full_call", "switch")},
        ramps={},
        calls=(Call(Signal("full_call"), "full", ("upper", "lower")),),
        permissives=(),
        trips=(),
        limits=made_limits(),
        goals=made_goals(),
        scenarios={},
        requirements=(),
        io=Io(),
        digest="3f9a12c04b7e55d0" * 4,
        text=text,
    )


def made_type() -> CircuitType:
    def valve(name: str, supply: str | None, life: int | None = None, rest: str = "shut") -> Valve:
        return Valve(name, supply, 1e-4, 0.1, 300, 300, rest, life)

    return CircuitType(
        name="platen_circuit",
        path=Path(0.014, 18.0, 2, 0.003, "carbon steel", 2400.0, 10, 5e-5),
        outlet=Outlet(1e-3, 101_325.0),
        rated=1_101_325.0,
        valves={
            "mist": valve("mist", "works_water", 1_000_000),
            "flood": valve("flood", "works_water"),
            "sweep": valve("sweep", "works_air"),
            "drain": valve("drain", None, rest="open"),
        },
        stages=(
            Stage("dosing", {"sweep": Open(), "mist": Dose(800, 2400, "restart")}, Signal("x")),
            Stage("soaking", {"sweep": Open(), "mist": Open()}, Signal("x")),
            Stage("full", {"flood": Open()}, None),
        ),
        finish=(
            FinishStep("blow_out", {"sweep": Open()}, 20_000),
            FinishStep("emptying", {"drain": Open()}, 60_000),
        ),
        step_down_ms=0,
        cold_start="idle",
    )


def made_limits() -> tuple[Limit, ...]:
    fall = "splice falls by at most 4 K/min over 60 s, between 160 and 70 degC"
    shock = "upper.wall falls by at most 3 K/s"
    return (
        Limit("splice", "fall_rate", "at_most", 4 / 60, 60.0, (433.15, 343.15), fall, at=on_line(6)),
        Limit("upper.wall", "fall_rate", "at_most", 3.0, 1.0, None, shock, at=on_line(7)),
        Limit(
            "upper.pressure",
            "value",
            "at_most",
            451_325.0,
            0.0,
            None,
            "upper.pressure at most 3.5 barg",
            at=on_line(8),
        ),
        Limit(
            "lower.pressure",
            "value",
            "at_most",
            701_325.0,
            0.0,
            None,
            "lower.pressure at most 6 barg",
            at=on_line(9),
        ),
    )


def made_goals() -> tuple[Goal, ...]:
    return (
        Goal("splice", "below", 343.15, 2400.0, "splice below 70 degC within 40 min", at=on_line(10)),
        Goal(
            "upper_platen",
            "below",
            333.15,
            1800.0,
            "upper_platen below 60 degC within 30 min",
            at=on_line(11),
        ),
    )


@frozen(eq=False)
class Made:
    """One circuit's invented signals on the fine clock."""

    mist: NDArray[np.bool_]
    flood: NDArray[np.bool_]
    sweep: NDArray[np.bool_]
    drain: NDArray[np.bool_]
    stage: NDArray[np.int64]


def made_circuit(time: NDArray[np.int64], delay_ms: int) -> Made:
    edges = [SOAKING_MS, FULL_MS, BLOW_OUT_MS, EMPTYING_MS, IDLE_MS]
    stage = np.array([1, 2, 3, 4, 5, 0])[np.searchsorted(edges, time, side="right")]
    dose = (stage == 1) & (time >= delay_ms) & ((time - delay_ms) % 3200 < 800)
    return Made(
        mist=dose | (stage == 2),
        flood=stage == 3,
        sweep=np.isin(stage, [1, 2, 4]),
        drain=np.isin(stage, [0, 5]),
        stage=stage,
    )


def followed(drive: Floats, lag_s: float) -> Floats:
    """A first-order lag, written out on the fine clock."""
    share = 1 - np.exp(-FINE_MS / 1000 / lag_s)
    out = np.empty_like(drive)
    held = drive[0]
    for index, value in enumerate(drive):
        held += (value - held) * share
        out[index] = held
    return out


def step_track(name: str, kind: str, time: NDArray[np.int64], values: NDArray[np.generic]) -> Track:
    kept = np.flatnonzero(np.r_[True, values[1:] != values[:-1]])
    return Track(name, kind, "", time[kept], values[kept], None, None, True)


def record_track(name: str, unit: str, values: Floats, *, band: bool = True) -> Track:
    """Records every half second: the mean of the fine values since the last, with their least and
    greatest.
    """
    each = RECORD_MS // FINE_MS
    grouped = values[: len(values) // each * each].reshape(-1, each)
    times = (np.arange(len(grouped), dtype=np.int64) + 1) * RECORD_MS
    low, high = (grouped.min(axis=1), grouped.max(axis=1)) if band else (None, None)
    return Track(name, "real", unit, times, grouped.mean(axis=1), low, high, False)


def made_trace() -> Trace:
    time = np.arange(0, END_MS, FINE_MS, dtype=np.int64)
    seconds = time / 1000.0
    platen = 438.15 - 70 * (1 - np.exp(-seconds / 900)) - 55 * np.clip((seconds - 1140) / 900, 0, 1) ** 0.8
    tracks = [
        record_track("upper_platen", "K", platen, band=False),
        record_track("lower_platen", "K", platen + 2.5 * np.exp(-seconds / 400) - 0.8, band=False),
        record_track("splice", "K", followed(platen - 5.0, 75.0), band=False),
    ]
    for circuit, delay in (("upper", 0), ("lower", 1600)):
        tracks += made_tracks(circuit, made_circuit(time, delay), time, platen)
    return Trace({track.name: track for track in tracks}, END_MS)


def made_tracks(circuit: str, made: Made, time: NDArray[np.int64], platen: Floats) -> list[Track]:
    mist = followed(made.mist.astype(float), 0.15)
    flood = followed(made.flood.astype(float), 0.9)
    sweep = followed(made.sweep.astype(float), 0.1)
    heat = np.clip((platen - 373.15) / 65, 0.03, 1)
    wet = followed(mist, 0.7)
    chill = 22 * wet * heat + 13 * flood + 3
    pressure = 101_325 + 1e5 * (0.35 * sweep + 2.6 * wet * heat + 2.2 * flood + 0.4 * mist)
    water = 0.075 * mist + 0.52 * flood
    valves = {"mist": made.mist, "flood": made.flood, "sweep": made.sweep, "drain": made.drain}
    return [
        *(step_track(f"{circuit}.{name}", "bool", time, values) for name, values in valves.items()),
        step_track(f"{circuit}.stage", "int", time, made.stage),
        record_track(f"{circuit}.wall", "K", platen - chill),
        record_track(f"{circuit}.wall.coldest", "K", platen - 2.1 * chill),
        record_track(f"{circuit}.wall.hottest", "K", platen - 0.25 * chill),
        record_track(
            f"{circuit}.outlet_temperature", "K", np.minimum(platen - 0.6 * chill, 373.15 + 60 * heat)
        ),
        record_track(f"{circuit}.pressure", "Pa", pressure),
        record_track(f"{circuit}.water_flow", "kg/s", water),
        record_track(f"{circuit}.air_flow", "kg/s", 0.021 * sweep * (1 - 0.4 * wet)),
    ]


def made_prediction(text: str = TEXT, title: str = "Splice press 2, platen cool-down") -> Prediction:
    plan = made_plan(text, title)
    trace = made_trace()
    return Prediction(
        plan=plan,
        scenario="strongest call",
        settings=Settings(),
        trace=trace,
        end_ms=END_MS,
        ended="every goal is reached and every circuit is idle",
        complete=True,
        limits=made_limit_results(trace),
        goals=(
            GoalResult(plan.goals[0], crossing(trace, "splice", 343.15), 343.15, 0, verdict=Verdict.KEPT),
            GoalResult(
                plan.goals[1], crossing(trace, "upper_platen", 333.15), 333.15, 0, verdict=Verdict.BROKEN
            ),
        ),
        moments=made_moments(),
        circuits=tuple(made_use(trace, circuit) for circuit in plan.circuits),
        valves=tuple(made_valve_use(trace, name) for name in made_valves(plan)),
        balance={"water": 2.1e-9, "air": -4.0e-10, "energy": 3.4e-6},
        notes=(
            Note(
                "upper",
                "the boiling curve was used above its range of mass flux (1.2 of 1.0 kg/m2/s) for 4 s in all",
            ),
            Note("", "properties of steam end at 40 bar; the run stayed below"),
        ),
    )


def crossing(trace: Trace, name: str, value: float) -> int:
    track = trace.tracks[name]
    return int(track.times_ms[int(np.argmax(np.asarray(track.values) < value))])


def made_limit_results(trace: Trace) -> tuple[LimitResult, ...]:
    limits = made_limits()
    results = []
    for limit in limits[2:]:
        track = trace.tracks[limit.of]
        high = np.asarray(track.high)
        peak = int(np.argmax(high))
        worst = float(high[peak])
        results.append(LimitResult(limit, worst, int(track.times_ms[peak]), verdict([limit.value - worst])))
    return (
        LimitResult(limits[0], 3.62 / 60, 1_260_000, verdict=Verdict.KEPT),
        LimitResult(limits[1], 2.41, 4_820, verdict=Verdict.KEPT),
        *results,
    )


def made_moments() -> tuple[Moment, ...]:
    stages = ("dosing", "soaking", "full", "blow_out", "emptying", "idle")
    times = (0, SOAKING_MS, FULL_MS, BLOW_OUT_MS, EMPTYING_MS, IDLE_MS)
    return tuple(
        Moment(time, circuit, stage)
        for time, stage in zip(times, stages, strict=True)
        for circuit in ("upper", "lower")
    )


def made_valves(plan: Plan) -> list[str]:
    return [f"{circuit}.{valve}" for circuit in plan.circuits for valve in plan.type_of(circuit).valves]


def made_use(trace: Trace, circuit: str) -> CircuitUse:
    water = float(np.sum(np.asarray(trace.tracks[f"{circuit}.water_flow"].values)) * RECORD_MS / 1000)
    air = float(np.sum(np.asarray(trace.tracks[f"{circuit}.air_flow"].values)) * RECORD_MS / 1000)
    pressure = trace.tracks[f"{circuit}.pressure"]
    high = np.asarray(pressure.high)
    peak = int(np.argmax(high))
    top = float(high[peak]), int(pressure.times_ms[peak])
    use = CircuitUse(circuit, water, 14.2, 0.6, air, 5.02e7, *top)
    return evolve(use, heat_to_water=4.87e7, heat_from_host=4.41e7)


def made_valve_use(trace: Trace, name: str) -> ValveUse:
    openings = trace.openings(name)
    open_s = sum(end - start for start, end in openings) / 1000
    share = len(openings) / 1_000_000 if name.endswith("mist") else None
    return ValveUse(name, len(openings), open_s, share)


def unkept(prediction: Prediction) -> Prediction:
    """The same prediction with a book that does not close and an early end."""
    return evolve(
        prediction,
        balance={"water": 0.0, "air": 0.0, "energy": 0.013},
        complete=False,
        ended="a pressure left its range",
    )
