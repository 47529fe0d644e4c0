"""A run as JSON and back, in stable names (docs/json.md)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from steadfall.runs.run import Run, Step, run_of

OFF = "off_ms"  # of a step that is a power cut: how many ms there is no power


def steps_json(run: Run) -> list[dict[str, Any]]:
    """What happens, in order; scans without a change are counted, not listed. A power cut has a row of its
    own.
    """
    rows: list[dict[str, Any]] = []
    for step, now in zip(run.steps(), run.times_ms.tolist(), strict=True):
        row = {"at_ms": now, "scan_ms": step.dt_ms, "scans": 1, "inputs": dict(step.inputs)}
        if step.off_ms is not None:
            rows.append({**row, OFF: step.off_ms})
        elif step.inputs or not rows or OFF in rows[-1] or rows[-1]["scan_ms"] != step.dt_ms:
            rows.append(row)
        else:
            rows[-1]["scans"] += 1
    return rows


def scans_json(run: Run) -> list[dict[str, Any]]:
    """Every scan, in order."""
    return [{"scan_ms": step.dt_ms, "inputs": dict(step.inputs)} for step in run.steps()]


def from_json(rows: Iterable[Mapping[str, Any]]) -> Run:
    """The run that `steps_json` wrote."""
    steps: list[Step] = []
    for row in rows:
        steps.append(Step(row["scan_ms"], row["inputs"], row.get(OFF)))
        steps += [Step(row["scan_ms"])] * (row["scans"] - 1)
    return run_of(steps)
