"""Stored runs made again: a violation on the interpreter, a witness on what it was found with.

Rule of this file: a run counts only where it is one of the controller: its inputs are there and of their
types, its scans follow each other as the plan allows, and what it shows is so at the moment that is stored.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from steadfall.logic.cone import cone
from steadfall.logic.network import Input
from steadfall.logic.nodes import LARGEST, Type, Value
from steadfall.prove.decide.ask import RUNS
from steadfall.prove.decide.result import ITS_VIOLATION, Verdict, run_json
from steadfall.prove.explain.witness import stimuli_of
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import LONGEST_RUN
from steadfall.prove.system.replay import replay
from steadfall.runs.json import OFF, from_json, scans
from steadfall.runs.run import Run

MOST_SCANS = 10_000_000  # of a run

Stored = Mapping[str, Any]


def violated(of: Watched, bad: str, trace: Stored) -> Run | None:
    """The stored run, where it breaks the requirement at its end and not before."""
    return _ends(of, bad, trace, "violated_at_ms")


def at_work(of: Watched, verdicts: Sequence[Verdict]) -> frozenset[str]:
    """The names of those requirements whose witness is so."""
    given = [(row, row.witness) for row in verdicts if row.witness is not None]
    runs = [(row, witness) for row, witness in given if witness["by"] == RUNS]
    found = set(_in_runs(of, runs))
    for row, witness in given:
        if witness["by"] == ITS_VIOLATION:
            shown = row.way is not None and row.way.end_ms == witness["at_ms"]
        elif "steps" in witness:
            shown = _ends(of, row.required.exercised, witness, "at_ms") is not None
        else:
            continue
        found |= {row.required.name} if shown else set()
    return frozenset(found)


def _ends(of: Watched, goal: str, stored: Stored, moment: str) -> Run | None:
    steps = stored["steps"]
    if not steps or not possible(of, steps):
        return None
    seen = replay(cone(of.network, [goal]), from_json(steps), goal)
    if seen is None or run_json(seen.run, moment) != {key: stored[key] for key in (moment, "steps")}:
        return None
    return seen.run


def possible(of: Watched, steps: Sequence[Stored]) -> bool:
    """Whether these can be steps of the controller under the faults that are asked about."""
    inputs = {row.name: row for row in of.network.inputs}
    if sum(count for step in steps for _, count in scans(step)) > MOST_SCANS:
        return False
    longest, begins = of.plan.scan.longest_ms, True  # the controller, at its start or after a power cut
    for step in steps:
        given, many, off_ms = step["inputs"], scans(step), step.get(OFF)
        times = [ms for ms, _ in many]
        if off_ms is not None:
            if begins or given or any(times) or many[0][1] > 1 or not of.faults.power_cut:
                return False
        elif not (0 if begins and step["scans"] == 1 else 1) <= min(times) <= max(times) <= longest:
            return False
        begins = off_ms is not None
        if not all(name in inputs and _fits(inputs[name], value) for name, value in given.items()):
            return False
    return True


def _fits(row: Input, value: Value) -> bool:
    """Whether an input can have a value."""
    if row.type is Type.BOOL or isinstance(value, bool):
        return row.type is Type.BOOL and isinstance(value, bool)
    if row.type is Type.REAL:
        return math.isfinite(value)
    low, high = row.holds or ((0, LARGEST) if row.type is Type.TIME else (-LARGEST, LARGEST))
    return isinstance(value, int) and low <= value <= high


def _in_runs(of: Watched, rows: Sequence[tuple[Verdict, Stored]]) -> Iterator[str]:
    """Those that apply in the very scan of the made-up run that is stored."""
    if not rows:
        return
    one, groups = rig(of.plan, of.network), dict[str, list[tuple[Verdict, Stored]]]()
    inputs = {row.name: row for row in of.network.inputs}
    for row, witness in rows:
        then = witness.get("then")
        if then is None or _changes(inputs, then):
            groups.setdefault(repr((witness["seed"], then)), []).append((row, witness))
    for group in groups.values():
        run = stimuli_of(one, group[0][1])
        there = [(row, witness) for row, witness in group if witness["scan"] < len(run)]
        if not there:
            continue
        end = max(witness["scan"] for _, witness in there) + 1
        columns = one.fast.columns(run.part(0, end), [row.required.exercised for row, _ in there]).T
        for (row, witness), column in zip(there, columns, strict=True):
            scan = witness["scan"]
            if column[scan] and int(run.times_ms[scan]) == witness["at_ms"]:
                yield row.required.name


def _changes(inputs: Mapping[str, Input], then: Stored) -> bool:
    """Whether an input can change so, on purpose; the values of switches are told as numbers."""
    row, value = inputs.get(then["input"]), then["to"]
    if row is None or then["scan"] >= LONGEST_RUN:
        return False
    if row.type is Type.BOOL:
        return value in (0, 1)
    return _fits(row, value if row.type is Type.REAL or value != int(value) else int(value))
