"""Runs by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from steadfall.logic.nodes import Value
from steadfall.runs.run import Run, Step, run_of

Scan = tuple[int, Mapping[str, Value]]  # time since the scan before, and the inputs that change


def made(scans: Iterable[Scan]) -> Run:
    """A run without power cuts."""
    return run_of(Step(dt, inputs) for dt, inputs in scans)


def listed(run: Run) -> list[Scan]:
    """And back."""
    return [(step.dt_ms, dict(step.inputs)) for step in run.steps()]
