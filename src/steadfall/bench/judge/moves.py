"""How a circuit may go from stage to stage, and which of these ways were gone.

Rule of this file: the ways are those of `logic.build.sequence`, worked out from the plan again.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from typing import Any

from steadfall.bench.judge.finding import Finding, Said
from steadfall.plan.model import ButtonCall, Call, Plan
from steadfall.source import Mark

IDLE, FIRST = 0, 1


def transitions(plan: Plan, circuit: str, gone: Set[tuple[Any, Any]]) -> Iterator[Finding]:
    """Every way of a circuit, and whether it was gone."""
    kind = plan.type_of(circuit)
    marks = [plan.circuits[circuit].at.own, *(one.at.own for one in kind.stages)]
    marks += [one.at.own for one in kind.finish]
    names = ("idle", *kind.step_names)
    for before, after in _ways(plan, circuit):
        said = Said.PASS if (before, after) in gone else Said.NOT_EXERCISED
        yield Finding(
            f"{circuit} from {names[before]} to {names[after]}", said, "", line=_line(marks, before)
        )


def _line(marks: list[Mark], place: int) -> int:
    return marks[place].line


def _ways(plan: Plan, circuit: str) -> Iterator[tuple[int, int]]:
    """A stage begins, climbs, steps down to what is allowed, ends; a finish goes on, or is broken off."""
    kind = plan.type_of(circuit)
    last, finish = len(kind.stages), [len(kind.stages) + at for at in range(1, len(kind.finish) + 1)]
    rest = (*finish, IDLE)
    yield IDLE, FIRST
    for stage in range(FIRST, last + 1):
        if stage < last:
            yield stage, stage + 1
        yield from ((stage, lower) for lower in _allowed(plan, circuit) if lower < stage)
        yield stage, rest[0]
    for at, step in enumerate(finish):
        yield step, rest[at + 1]
        yield step, FIRST


def _allowed(plan: Plan, circuit: str) -> list[int]:
    """The stages that calls of a circuit allow at most, in order."""
    names = [stage.name for stage in plan.type_of(circuit).stages]
    calls = [call for call in plan.calls if circuit in call.circuits]
    found = {
        names.index(name) + FIRST
        for call in calls
        for name in ((call.allows,) if isinstance(call, Call | ButtonCall) else call.thresholds)
        if name in names
    }
    return sorted(found)
