"""Small plans for tests of the logic, made straight from the data classes. Every number is invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from steadfall.plan.model import (
    Action,
    Call,
    Circuit,
    CircuitType,
    Demand,
    Dose,
    FinishStep,
    Input,
    Io,
    Open,
    Outlet,
    Path,
    Permissive,
    Plan,
    Ramp,
    Scan,
    Share,
    Stage,
    Supply,
    Trip,
    Valve,
)
from steadfall.plan.model.condition import After, And, Compare, Condition, Held, Not, Signal

OPEN = Open()
WATER, AIR = "works_water", "works_air"


def on(name: str) -> Signal:
    return Signal(name)


def after(ms: int) -> After:
    return After(ms)


def both(*parts: Condition) -> Condition:
    return And(parts)


def no(part: Condition) -> Condition:
    return Not(part)


def held(part: Condition, ms: int) -> Condition:
    return Held(part, ms)


def above(name: str, percent: float) -> Condition:
    return Compare(name, ">", percent, "percent")


def dose(open_ms: int, shut_ms: int, clock: str = "restart") -> Dose:
    return Dose(open_ms, shut_ms, clock)


def stage(name: str, climb: Condition | None = None, **actions: Action) -> Stage:
    return Stage(name, actions, climb)


def finish(name: str, for_ms: int, **actions: Action) -> FinishStep:
    return FinishStep(name, actions, for_ms)


def valve(name: str, supply: str | None = WATER, **other: Any) -> Valve:
    given: dict[str, Any] = {
        "kv": 1e-4,
        "travel": 0.1,
        "shortest_open_ms": 0,
        "shortest_shut_ms": 0,
        "rest": "shut",
    }
    return Valve(name, supply, **given | {"life": None} | other)


MIST, SWEEP, DRAIN = valve("mist"), valve("sweep", AIR), valve("drain", None, rest="open")
STAGES = (
    stage("dosing", after(100), sweep=OPEN, mist=dose(30, 70)),
    stage("soaking", after(50), sweep=OPEN, mist=OPEN),
    stage("full", mist=OPEN),
)
FINISH = (finish("blow_out", 40, sweep=OPEN), finish("emptying", 60, drain=OPEN))


def circuit_type(
    stages: Sequence[Stage] = STAGES,
    finish: Sequence[FinishStep] = FINISH,
    valves: Sequence[Valve] = (MIST, SWEEP, DRAIN),
    *,
    step_down_ms: int = 0,
    cold_start: str = "idle",
) -> CircuitType:
    path = Path(0.014, 18.0, 2, 0.003, "carbon steel", 2400.0, 0, 0.00005)
    named = {item.name: item for item in valves}
    return CircuitType(
        "coil",
        path,
        Outlet(1e-3, 101325.0),
        1e6,
        named,
        tuple(stages),
        tuple(finish),
        step_down_ms,
        cold_start,
    )


CALLS = (Call(on("gentle_call"), "soaking", ("upper",)), Call(on("full_call"), "full", ("upper",)))
SWITCHES = ("gentle_call", "full_call", "air_ok", "fault", "reset_button", "upper.mist_is_open")
INPUTS = (
    *(Input(name, "switch") for name in SWITCHES),
    Input("demand", "percent", high=100.0, unit="%"),
    Input("heat", "temperature", low=273.15, high=523.15, unit="degC"),
)


def plan(
    kind: CircuitType | None = None,
    *,
    circuits: Mapping[str, int] | None = None,
    calls: Sequence[Call | Demand] = CALLS,
    permissives: Sequence[Permissive] = (),
    trips: Sequence[Trip] = (),
    ramps: Sequence[Ramp] = (),
    inputs: Sequence[Input] = INPUTS,
) -> Plan:
    """A plan with one type of circuit; `circuits` gives the delay of the doses of each, in ms."""
    kind = kind or circuit_type()
    delays = circuits or {"upper": 0}
    supplies = {WATER: Supply(WATER, "water", 5e5, 287.15), AIR: Supply(AIR, "air", 4e5, 293.15)}
    return Plan(
        title="test",
        revised="",
        scan=Scan(10, 40, 10),
        ambient=295.15,
        supplies=supplies,
        materials={},
        bodies={},
        gas_streams={},
        links=(),
        circuit_types={kind.name: kind},
        circuits={name: Circuit(name, kind.name, "host", delay) for name, delay in delays.items()},
        inputs={item.name: item for item in inputs},
        ramps={item.name: item for item in ramps},
        calls=tuple(calls),
        permissives=tuple(permissives),
        trips=tuple(trips),
        limits=(),
        goals=(),
        scenarios={},
        requirements=(),
        io=Io(),
        restarts=True,  # tests of other things call from the first scan on
    )


AIR_OK = Permissive("sweep air", on("air_ok"), ("upper.mist",), True)
FAULT = Trip("fault", on("fault"), on("reset_button"))


def large() -> Plan:
    """Two circuits with five stages, four valves, doses, shares, shortest times, feedback, permissive and
    trip.
    """
    stages = (
        stage("first", both(after(45_000), above("demand", 10.0)), sweep=OPEN, mist=dose(800, 2400)),
        stage("second", both(after(45_000), above("demand", 20.0)), sweep=OPEN, mist=dose(1200, 2000)),
        stage("third", both(after(30_000), above("demand", 30.0)), sweep=OPEN, mist=Share("demand", 8000)),
        stage("fourth", held(above("demand", 50.0), 2000), sweep=OPEN, mist=OPEN),
        stage("full", flood=OPEN),
    )
    times: dict[str, Any] = {"shortest_open_ms": 300, "shortest_shut_ms": 300}
    valves = (valve("mist", **times), valve("flood", **times), SWEEP, DRAIN)
    finish_steps = (finish("blow_out", 20_000, sweep=OPEN), finish("emptying", 60_000, drain=OPEN))
    both_circuits = ("upper", "lower")
    calls: list[Call | Demand] = [
        Call(on("gentle_call"), "third", both_circuits),
        Call(on("full_call"), "full", both_circuits),
        Demand("demand", {"first": 2.0, "fourth": 60.0}, 1.0, both_circuits),
    ]
    kind = circuit_type(stages, finish_steps, valves, cold_start="finish")
    guards = {"permissives": (AIR_OK,), "trips": (FAULT,)}
    return plan(kind, circuits={"upper": 0, "lower": 1600}, calls=calls, **guards)  # type: ignore[arg-type]
