"""Rows of the plan to limits, goals, scenarios, requirements and the wiring.

Rule of this file: as in `plan.read.equipment`. Each keeps its text as a person wrote it, for tables.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from steadfall.plan.keys.aims import ANY
from steadfall.plan.keys.row import Row
from steadfall.plan.keys.value import Part
from steadfall.plan.model.aims import (
    AtMost,
    EveryOpening,
    Exclusive,
    Fault,
    Goal,
    Io,
    Limit,
    Never,
    Requirement,
    Scenario,
    Step,
    Terminal,
    Tolerance,
    Whenever,
)
from steadfall.plan.model.condition import Signal
from steadfall.plan.model.sequence import Input
from steadfall.plan.problems import UNREAD, Problems, did_you_mean
from steadfall.plan.read.sequence import part_ms, setting
from steadfall.units import QuantityError, exact

# The window of a fall rate where the plan gives none, by the unit it is written in.
WINDOWS: Mapping[str, float] = {"K/s": 1.0, "K/min": 60.0, "K/h": 3600.0}

Dimensions = Mapping[str, str]


def limit(row: Row, dimensions: Dimensions, problems: Problems) -> Limit:
    """A bound on a quantity or on how fast it falls."""
    text = row.said.removeprefix("of ")
    given = [key for key in ("at most", "at least", "fall_rate") if key in row.given]
    if row.given and len(given) != 1:
        read = "no bound is given" if not given else "more than one bound is given"
        place = row.at.of(f"key {given[1]}") if given else row.at.own
        problems.add(place, "one-bound", "", read, "one of 'at most', 'at least', 'fall_rate'")
    between = row["between"]
    span = None if between is None else (between.first, between.second)
    key = given[0] if given else ""
    if key == "fall_rate":
        rate = row["fall_rate"]
        _check_dimension(row, "fall_rate", "temperature", dimensions, problems)
        window = row["over"] / 1000 if row["over"] is not None else WINDOWS.get(rate.unit, 1.0)
        return Limit(row["of"], "fall_rate", rate.bound, rate.value, window, span, text, at=row.at)
    if "over" in row.given:
        problems.add(
            row.at.of("key over"), "unused-key", "over", "a window is for a fall rate", "no 'over' here"
        )
    value = UNREAD
    if key:
        _check_dimension(row, key, row[key].dimension, dimensions, problems)
        value = row[key].value
    return Limit(row["of"], "value", key.replace(" ", "_"), value, 0.0, span, text, at=row.at)


def _check_dimension(row: Row, key: str, written: str, dimensions: Dimensions, problems: Problems) -> None:
    known = dimensions.get(row["of"], "")
    if known and written and known != written:
        words = {name: name.replace("_", " ") for name in (known, written)}
        read = "a fall rate is for temperatures" if key == "fall_rate" else f"a {words[written]} is given"
        problems.add(
            row.at.of(key), "wrong-dimension", key, read, f"a bound on '{row['of']}', a {words[known]}"
        )


def tolerance(row: Row) -> Tolerance:
    """How far a number may be off."""
    within = row["within"]
    relative = within.dimension == "percent"
    return Tolerance(
        row["of"], within.value / 100 if relative else within.value, relative, row.said, at=row.at
    )


def goal(row: Row, dimensions: Dimensions, problems: Problems) -> Goal:
    """A quantity below or above a value."""
    text = row.said.removeprefix("goal ")
    parts: Mapping[str, Part] = row["goal"]
    if not parts:
        return Goal("", "below", UNREAD, UNREAD, text, at=row.at)
    of = parts["of"].text
    wanted = (dimensions[of],) if dimensions.get(of) in ANY else ANY
    value: Any = UNREAD
    try:
        value = float(exact(parts["value"].text, wanted)[0])
    except QuantityError as error:
        problems.misread(parts["value"].mark, "goal", error)
    return Goal(of, parts["bound"].text, value, row["within"] / 1000, text, at=row.at)


def scenario(name: str, row: Row, inputs: Mapping[str, Input], problems: Problems) -> Scenario:
    """What the inputs do over time."""
    steps = tuple(_step(item, inputs, problems) for item in row["steps"])
    until = None if row["until"] in ("goals", "") else row["until"]
    return Scenario(name, steps, until, row["longest"], at=row.at)


def _step(row: Row, inputs: Mapping[str, Input], problems: Problems) -> Step:
    values = {}
    for name, value in row.others.items():
        item = inputs.get(name)
        if item is None:
            read = f"'{name}' is no input{did_you_mean(name, inputs)}"
            problems.add(row.at.of(f"key {name}"), "unknown-name", name, read, "an input of the plan")
        else:
            values[name] = setting(value, item.kind, row.at, name, problems)
    return Step(row["at"], values, at=row.at)


def requirement(row: Row, problems: Problems) -> Requirement:
    """A sentence that must hold for ever."""
    return _REQUIREMENTS[row.section](row, problems)


def _never(row: Row, _problems: Problems) -> Requirement:
    return Never(row["never"], row.said, at=row.at)


def _whenever(row: Row, _problems: Problems) -> Requirement:
    return Whenever(row["whenever"], row["then"], row["within"], row["lasting"], row.said, at=row.at)


def _every_opening(row: Row, problems: Problems) -> Requirement:
    if not row.given & {"lasts at least", "lasts at most"}:
        problems.add(
            row.at.own,
            "missing-key",
            "lasts at least",
            "no time is given",
            "'lasts at least' or 'lasts at most'",
        )
    times = (row["lasts at least"], row["lasts at most"])
    return EveryOpening(row["every_opening"], *times, row["unless"] is not None, row.said, at=row.at)


def _at_most(row: Row, problems: Problems) -> Requirement:
    parts: Mapping[str, Part] = row["at_most"]
    if not parts:
        return AtMost("", UNREAD, UNREAD, row.said, at=row.at)
    time = part_ms(parts["time"], "at_most", problems)
    return AtMost(parts["valve"].text, int(parts["count"].text), time, row.said, at=row.at)


def _exclusive(row: Row, _problems: Problems) -> Requirement:
    return Exclusive(row["exclusive"] or (Signal(""),), row.said, at=row.at)


_REQUIREMENTS: Mapping[str, Callable[[Row, Problems], Requirement]] = {
    "never": _never,
    "whenever": _whenever,
    "every_opening": _every_opening,
    "at_most": _at_most,
    "exclusive": _exclusive,
}


def fault(row: Row) -> Fault:
    """What goes wrong."""
    parts: Mapping[str, Part] = row["fault"]
    what = "cut" if "cut" in parts else "what"
    word = parts[what].text if parts else ""
    return Fault(
        word,
        parts["signal"].text if what in parts and "signal" in parts else "",
        row["may_break"] or (),
        at=row.at,
    )


def io(value: str | Row | None) -> Io:
    """The wiring, or where its list lies."""
    if value is None:
        return Io()
    if isinstance(value, str):
        return Io(list_file=value)
    if value.section == "io_list":
        columns = value["columns"]
        named = (
            {} if columns is None else {key: columns[key] for key in columns.values if key in columns.given}
        )
        return Io(list_file=value["list"], columns=named, at=value.at)
    terminals = {name: _terminal(name, row) for name, row in value.others.items()}
    return Io(terminals=terminals, at=value.at)


def _terminal(name: str, row: Row) -> Terminal:
    return Terminal(name, row["terminal"], row["address"], row["modbus"], row["opcua"], at=row.at)
