"""Rows of the plan to what the controller is to do.

Rule of this file: as in `plan.read.equipment`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from steadfall.plan.keys.row import Row
from steadfall.plan.keys.value import Measured, Part
from steadfall.plan.model.equipment import Material
from steadfall.plan.model.sequence import (
    Action,
    Call,
    Circuit,
    CircuitType,
    Demand,
    Dose,
    FinishStep,
    Input,
    Open,
    Permissive,
    Ramp,
    Scan,
    Share,
    Stage,
    Trip,
)
from steadfall.plan.problems import UNREAD, Problems, listed
from steadfall.plan.read.equipment import outlet, path, relief, valve
from steadfall.source import Marks
from steadfall.units import QuantityError, milliseconds


def scan(row: Row) -> Scan:
    """What the controller promises."""
    return Scan(row["nominal"], row["longest"], row["timer_step"], at=row.at)


def circuit_type(name: str, row: Row, known: Mapping[str, Material], problems: Problems) -> CircuitType:
    """A circuit type."""
    return CircuitType(
        name,
        path(row["path"], known, problems),
        outlet(row["outlet"]),
        row["rated"],
        {key: valve(key, item, known, problems) for key, item in row["valves"].items()},
        tuple(_stage(item) for item in row["stages"]),
        tuple(_finish(item) for item in row["finish"]),
        step_down(row["step_down"], problems),
        row["cold_start"],
        relief(row["relief"]),
        at=row.at,
    )


def step_down(value: str | dict[str, Part], problems: Problems) -> Any:
    """`at once` is 0 ms, `after 10 s` is 10000 ms."""
    if not isinstance(value, dict):
        return 0
    part = value.get("time")
    return part_ms(part, "step_down", problems) if part else UNREAD


def part_ms(part: Part, key: str, problems: Problems) -> Any:
    """The milliseconds of a time within a sentence."""
    try:
        return milliseconds(part.text)
    except QuantityError as error:
        problems.misread(part.mark, key, error)
        return UNREAD


def _actions(row: Row) -> dict[str, Action]:
    found = {name: _action(value, row) for name, value in row.others.items()}
    return {name: action for name, action in found.items() if action is not None}


def _action(value: str | Row, row: Row) -> Action | None:
    """What a valve does; None where it is shut."""
    if isinstance(value, str):
        return Open(at=Marks(row.at.own)) if value == "open" else None
    if value.section == "share":
        return Share(value["share_of"], value["cycle"], at=value.at)
    return Dose(value["open"], value["shut"], value["clock"], at=value.at)


def _stage(row: Row) -> Stage:
    return Stage(row["name"], _actions(row), row["climb"], at=row.at)


def _finish(row: Row) -> FinishStep:
    return FinishStep(row["name"], _actions(row), row["for"], at=row.at)


def circuit(name: str, row: Row) -> Circuit:
    """A circuit of a type."""
    return Circuit(name, row["type"], row["host"], row["delay_doses"], at=row.at)


def input_(name: str, row: Row, quantities: Mapping[str, str], problems: Problems) -> Input:
    """An input; it measures the plant quantity of its own name where it says nothing else and there is
    one.
    """
    low, high, unit = _range(row, problems)
    measures = row["measures"] or (name if name in quantities else None)
    return Input(
        name, row["kind"], measures, low, high, unit, row["lag"], _normal(row, low, problems), at=row.at
    )


def _range(row: Row, problems: Problems) -> tuple[float, float, str]:
    span, kind = row["range"], row["kind"]
    if kind == "switch":
        if span is not None:
            problems.add(
                row.at.of("range"), "unused-key", "range", "a switch has no range", "on and off only"
            )
        return 0.0, 1.0, ""
    if span is None:
        if kind == "percent":
            return 0.0, 100.0, "%"
        if kind:
            read = f"a {kind} input needs the range of its sensor"
            problems.add(row.at.own, "missing-key", "range", read, "its two ends", example="0 .. 250 degC")
        return UNREAD, UNREAD, ""
    if kind and span.dimension and span.dimension != kind:
        problems.add(
            row.at.of("range"), "wrong-dimension", "range", f"the range is a {span.dimension}", f"a {kind}"
        )
        return UNREAD, UNREAD, ""
    return span.first, span.second, span.unit


def _normal(row: Row, low: float, problems: Problems) -> Any:
    value = row["normal"]
    return low if value is None else setting(value, row["kind"], row.at, "normal", problems)


def setting(value: str | Measured, kind: str, at: Marks, key: str, problems: Problems) -> Any:
    """The value of an input of a kind: 0 or 1 for a switch, SI or percent otherwise."""
    written = value.dimension if isinstance(value, Measured) else "switch"
    if not kind or value == "" or written == "":
        return UNREAD
    if written != kind:
        read = "'on' and 'off' are for switches" if written == "switch" else f"a {written} is given"
        wanted = "on or off" if kind == "switch" else f"a {kind}"
        problems.add(at.of(key), "wrong-dimension", key, read, wanted)
        return UNREAD
    return value.value if isinstance(value, Measured) else float(value == "on")


def ramp(name: str, row: Row) -> Ramp:
    """A ramp follower."""
    return Ramp(name, row["of"], row["when"], row["fall"], row["to"], row["band"], at=row.at)


def stages_of(
    circuits: Mapping[str, Circuit], types: Mapping[str, CircuitType]
) -> dict[str, tuple[str, ...]]:
    """The stages of every circuit, by name; none where its type is unknown."""
    return {
        name: tuple(stage.name for stage in types[item.type].stages) if item.type in types else ()
        for name, item in circuits.items()
    }


def call(row: Row, stages: Mapping[str, tuple[str, ...]], problems: Problems) -> Call | Demand:
    """A call by a condition or by a demand."""
    if row.section == "call":
        named = [(row["allows"], "allows")] if row["allows"] else []
        return Call(row["when"], row["allows"], _called(row, named, stages, problems), at=row.at)
    thresholds = row["thresholds"]
    named = [(stage, "thresholds") for stage in thresholds.others]
    called = _called(row, named, stages, problems)
    return Demand(row["demand"], dict(thresholds.others), row["hysteresis"], called, at=row.at)


def _called(
    row: Row, named: list[tuple[str, str]], stages: Mapping[str, tuple[str, ...]], problems: Problems
) -> tuple[str, ...]:
    """The circuits of a call: those it lists, or all that have its stages."""
    if row["circuits"] is not None:
        return tuple(row["circuits"])
    wanted = [stage for stage, _ in named]
    found = tuple(name for name, own in stages.items() if all(stage in own for stage in wanted))
    if wanted and not found and stages:
        _no_circuit_has(row, named, stages, problems)
    return found


def _no_circuit_has(
    row: Row, named: list[tuple[str, str]], stages: Mapping[str, tuple[str, ...]], problems: Problems
) -> None:
    known = list(dict.fromkeys(stage for own in stages.values() for stage in own))
    unknown = [(stage, key) for stage, key in named if stage not in known]
    for stage, key in unknown:
        problems.unknown(row.at.of(key), key, stage, "stage of any circuit", known)
    if not unknown:
        key = named[0][1]
        read = f"no circuit has all of {listed(stage for stage, _ in named)}"
        problems.add(row.at.of(key), "unknown-name", key, read, "stages of one circuit type, or 'circuits'")


def permissive(row: Row, valves: Mapping[str, bool]) -> Permissive:
    """A permissive; `valves` says of every `circuit.valve` whether it lets water in."""
    named = row["for"]
    if isinstance(named, str):
        found: tuple[str, ...] = tuple(name for name, water in valves.items() if water) if named else ()
        return Permissive(row["name"], row["needs"], found, named == "all water", at=row.at)
    found = tuple(dict.fromkeys(valve for name in named for valve in _meant(name, valves)))
    return Permissive(row["name"], row["needs"], found, all_water=False, at=row.at)


def _meant(name: str, valves: Mapping[str, bool]) -> list[str]:
    """The valves that a name means: itself, or that valve of every circuit; an unknown one stays as it is."""
    if name in valves or "." in name:
        return [name]
    return [valve for valve in valves if valve.partition(".")[2] == name] or [name]


def trip(row: Row) -> Trip:
    """A trip."""
    return Trip(row["name"], row["when"], row["reset"], at=row.at)
