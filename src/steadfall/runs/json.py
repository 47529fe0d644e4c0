"""A run as JSON and back, in stable names (docs/json.md)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from steadfall.logic.nodes import Value
from steadfall.runs.run import Run, Step, run_of

POWER_CUT = "power_cut"  # among the inputs of a step: how many ms there is no power


def steps_json(run: Run) -> list[dict[str, Any]]:
    """What happens, in order; scans without a change are counted, not listed."""
    rows: list[dict[str, Any]] = []
    for step, now in zip(run.steps(), run.times_ms.tolist(), strict=True):
        inputs = _inputs(step)
        if inputs or not rows or rows[-1]["scan_ms"] != step.dt_ms:
            rows.append({"at_ms": now, "scan_ms": step.dt_ms, "scans": 1, "inputs": inputs})
        else:
            rows[-1]["scans"] += 1
    return rows


def scans_json(run: Run) -> list[dict[str, Any]]:
    """Every scan, in order."""
    return [{"scan_ms": step.dt_ms, "inputs": _inputs(step)} for step in run.steps()]


def from_json(rows: Iterable[Mapping[str, Any]]) -> Run:
    """The run that `steps_json` wrote."""
    steps: list[Step] = []
    for row in rows:
        steps.append(_step(row["scan_ms"], row["inputs"]))
        steps += [Step(row["scan_ms"])] * (row["scans"] - 1)
    return run_of(steps)


def _inputs(step: Step) -> dict[str, Value]:
    return dict(step.inputs) if step.off_ms is None else {**step.inputs, POWER_CUT: step.off_ms}


def _step(dt_ms: int, inputs: Mapping[str, Value]) -> Step:
    off_ms = inputs.get(POWER_CUT)
    if type(off_ms) is not int:  # a switch of that name is true or false
        return Step(dt_ms, inputs)
    return Step(dt_ms, {name: value for name, value in inputs.items() if name != POWER_CUT}, off_ms)
