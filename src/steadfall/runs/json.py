"""A run as JSON and back, in stable names (docs/json.md)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from steadfall.runs.run import Run, Step, run_of

OFF = "off_ms"  # of a step that is a power cut: how many ms there is no power
THEN = "then"  # of scans without a change: more of them, of other lengths; pairs of ms and how many


def steps_json(run: Run) -> list[dict[str, Any]]:
    """What happens, in order; scans without a change are counted, not listed. A power cut has a row of its
    own.
    """
    rows: list[dict[str, Any]] = []
    for step, now in zip(run.steps(), run.times_ms.tolist(), strict=True):
        row = {"at_ms": now, "scan_ms": step.dt_ms, "scans": 1, "inputs": dict(step.inputs)}
        if step.off_ms is not None:
            rows.append({**row, OFF: step.off_ms})
        elif step.inputs or not rows or OFF in rows[-1] or not _goes_on(rows[-1], step.dt_ms):
            rows.append(row)
    return rows


def _goes_on(row: dict[str, Any], dt_ms: int) -> bool:
    """Takes one more scan into a row, unless it is the first of another length after a change."""
    if THEN not in row and row["scan_ms"] == dt_ms:
        row["scans"] += 1
    elif row["inputs"] or not row["scan_ms"]:
        return False
    else:
        more = row.setdefault(THEN, [])
        if more and more[-1][0] == dt_ms:
            more[-1][1] += 1
        else:
            more.append([dt_ms, 1])
    return True


def scans(row: Mapping[str, Any]) -> list[Sequence[int]]:
    """The scans of a row: their ms, and how many of as many ms follow each other."""
    return [(row["scan_ms"], row["scans"]), *row.get(THEN, ())]


def from_json(rows: Iterable[Mapping[str, Any]]) -> Run:
    """The run that `steps_json` wrote."""
    steps: list[Step] = []
    for row in rows:
        (first, more), *others = scans(row)
        steps.append(Step(first, row["inputs"], row.get(OFF)))
        steps += [Step(first)] * (more - 1)
        steps += [Step(ms) for ms, many in others for _ in range(many)]
    return run_of(steps)
