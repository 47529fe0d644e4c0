"""Requirements over what a run has shown, scan by scan: enough of them for the foreign programs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from steadfall.logic.nodes import Value
from steadfall.plan.model import EveryOpening, Never
from steadfall.plan.model import condition as said
from steadfall.plan.model.condition import Condition

Row = Mapping[str, Value]

MEANING: Mapping[type[Condition], Callable[[Any, Row], bool]] = {
    said.Signal: lambda part, row: bool(row[part.name]),
    said.Not: lambda part, row: not holds(part.part, row),
    said.And: lambda part, row: all(holds(one, row) for one in part.parts),
    said.Or: lambda part, row: any(holds(one, row) for one in part.parts),
}


def holds(condition: Condition, row: Row) -> bool:
    return MEANING[type(condition)](condition, row)


def broken(requirement: Never | EveryOpening, times: Sequence[int], rows: Sequence[Row]) -> bool:
    """Whether a run breaks the requirement; an opening counts once it has ended."""
    if isinstance(requirement, Never):
        return any(holds(requirement.condition, row) for row in rows)
    begun: int | None = None
    for time, row in zip(times, rows, strict=True):
        if row[requirement.valve] and begun is None:
            begun = time
        elif not row[requirement.valve] and begun is not None:
            if time - begun < (requirement.least_ms or 0):
                return True
            begun = None
    return False
