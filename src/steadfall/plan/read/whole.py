"""Reads a plan: text to `Plan`, or every problem of the text at once.

Rule of this file: `read_text` and `read_file` raise PlanError and nothing else, whatever they are given.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from pathlib import Path

from attrs import frozen

from steadfall.plan.check.whole import check
from steadfall.plan.keys.row import Row, read_row
from steadfall.plan.meaning.names import quantities_of
from steadfall.plan.model import Goal, Limit, Plan
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.problems import Problems
from steadfall.plan.read import aims, equipment, sequence
from steadfall.plan.text.tree import LARGEST_TEXT, read_tree
from steadfall.source import Mark, PlanError, Problem


def read_file(path: str | os.PathLike[str]) -> Plan:
    """The plan in a file."""
    name = os.fspath(path)
    return read_text(_text_of(name), name)


def _text_of(name: str) -> str:
    """The text of a file, or the reason why there is none."""
    try:
        with Path(name).open("rb") as file:
            data = file.read(4 * LARGEST_TEXT + 1)
    except (OSError, ValueError) as error:
        why = next((words for kind, words in _UNREADABLE if isinstance(error, kind)), str(error))
        raise PlanError([Problem(Mark(name, 0, 0), "unreadable", "", why, "a plan file")]) from None
    if len(data) > 4 * LARGEST_TEXT:
        read = f"the file has more than {4 * LARGEST_TEXT:,} bytes"
        raise PlanError([Problem(Mark(name, 1, 1), "too-large", "", read, "a plan")])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line, column = before.count(b"\n") + 1, error.start - before.rfind(b"\n")
        read = f"byte {error.start} (0x{data[error.start]:02X}) is not UTF-8"
        raise PlanError(
            [Problem(Mark(name, line, column), "not-utf8", "", read, "text saved as UTF-8")]
        ) from None


_UNREADABLE: tuple[tuple[type[Exception], str], ...] = (
    (FileNotFoundError, "there is no such file"),
    (IsADirectoryError, "this is a folder"),
    (PermissionError, "this file may not be read"),
    (NotADirectoryError, "there is no such file"),
    (ValueError, "this cannot be the name of a file"),
)


def read_text(text: str, name: str = "plan.yaml") -> Plan:
    """The plan that a text states; `name` is what its problems call it."""
    problems = Problems()
    text = text.removeprefix("\ufeff")
    plan = draft(text, name, problems)
    check(plan, problems)
    if problems:
        raise PlanError(problems.found(), text)
    return plan


def draft(text: str, name: str, problems: Problems) -> Plan:
    """The plan as far as it could be read, not judged yet; what could not be read is in the problems."""
    row = read_row(read_tree(text, name, problems), "plan", problems)
    return _plan(_Given(row, text, problems))


@frozen
class _Given:
    """What the plan is built from."""

    row: Row
    text: str
    problems: Problems

    def named(self, key: str) -> Mapping[str, Row]:
        """The rows of a section by name."""
        rows: Mapping[str, Row] = self.row[key]
        return rows


def _plan(given: _Given) -> Plan:
    row, problems = given.row, given.problems
    own = {name: equipment.material(name, item) for name, item in given.named("materials").items()}
    known = {**BUILT_IN, **own}
    types = {n: sequence.circuit_type(n, r, known, problems) for n, r in given.named("circuit_types").items()}
    circuits = {name: sequence.circuit(name, item) for name, item in given.named("circuits").items()}
    bodies = {
        name: equipment.body(name, item, known, problems) for name, item in given.named("bodies").items()
    }
    streams = {name: equipment.gas_stream(name, item) for name, item in given.named("gas_streams").items()}
    supplies = {
        name: equipment.supply(name, item, known, problems) for name, item in given.named("supplies").items()
    }
    observed = quantities_of(bodies, streams, circuits, types)
    dimensions = {name: one.dimension for name, one in observed.items()}
    inputs = {n: sequence.input_(n, r, dimensions, problems) for n, r in given.named("inputs").items()}
    stages = sequence.stages_of(circuits, types)
    water = {
        f"{name}.{valve.name}": valve.supply in supplies and supplies[valve.supply].fluid == "water"
        for name, circuit in circuits.items()
        if circuit.type in types
        for valve in types[circuit.type].valves.values()
    }
    limits, goals = _limits(given, dimensions)
    return Plan(
        title=row["title"],
        revised=row["revised"],
        scan=sequence.scan(row["scan"]),
        ambient=row["ambient"],
        supplies=supplies,
        materials=known,
        bodies=bodies,
        gas_streams=streams,
        links=tuple(equipment.link(item) for item in row["links"]),
        circuit_types=types,
        circuits=circuits,
        inputs=inputs,
        ramps={name: sequence.ramp(name, item) for name, item in given.named("ramps").items()},
        calls=tuple(sequence.call(item, stages, problems) for item in row["calls"]),
        permissives=tuple(sequence.permissive(item, water) for item in row["permissives"]),
        trips=tuple(sequence.trip(item) for item in row["trips"]),
        limits=limits,
        goals=goals,
        scenarios={n: aims.scenario(n, r, inputs, problems) for n, r in given.named("scenarios").items()},
        requirements=tuple(aims.requirement(item, problems) for item in row["requirements"]),
        io=aims.io(row["io"]),
        faults=tuple(aims.fault(item) for item in row["faults"]),
        tolerances=tuple(aims.tolerance(item) for item in row["tolerances"]),
        digest=hashlib.sha256(given.text.encode()).hexdigest(),
        text=given.text,
        at=row.at,
    )


def _limits(given: _Given, dimensions: Mapping[str, str]) -> tuple[tuple[Limit, ...], tuple[Goal, ...]]:
    """Limits and goals stand in one list of the plan."""
    limits: list[Limit] = []
    goals: list[Goal] = []
    for item in given.row["limits"]:
        if item.section == "limit":
            limits.append(aims.limit(item, dimensions, given.problems))
        else:
            goals.append(aims.goal(item, dimensions, given.problems))
    return tuple(limits), tuple(goals)
