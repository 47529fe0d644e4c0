"""How a session kept its time, and what it could not have seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.bench.session.journal import Row
from steadfall.plan.model import Dose, Plan, Pulses
from steadfall.plan.model.setting import low_end

LATE_SHARE = 0.05  # of the cycles; above it nothing is judged


@frozen
class Pace:
    """Times in ms: from read to read, and of an exchange; each the median, one in a thousand, the longest."""

    cycles: int
    late: int
    cycle_ms: tuple[float, float, float]
    read_ms: tuple[float, float, float]
    write_ms: tuple[float, float, float]

    @property
    def held(self) -> bool:
        """Whether it came late seldom enough to be judged."""
        return self.late <= LATE_SHARE * self.cycles

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        return {
            "cycles": self.cycles,
            "late": self.late,
            "cycle_ms": list(self.cycle_ms),
            "read_ms": list(self.read_ms),
            "write_ms": list(self.write_ms),
        }


def pace(rows: Sequence[Row]) -> Pace:
    """That of a recording."""
    begins = np.array([row.reads[0].begin for row in rows])
    reads = np.array([row.reads[-1].end - row.reads[0].begin for row in rows])
    writes = np.array([row.writes[-1].end - row.writes[0].begin for row in rows if row.writes])
    late = sum(row.late for row in rows)
    return Pace(len(rows), late, _three(np.diff(begins)), _three(reads), _three(writes))


def _three(found: Any) -> tuple[float, float, float]:
    if not len(found):
        return 0.0, 0.0, 0.0
    return float(np.median(found)), float(np.quantile(found, 0.999)), float(np.max(found))


def shortest_ms(plan: Plan) -> int | None:
    """The shortest time that a valve is told to stay open or shut; None where no stage says one."""
    return min(_times(plan), default=None)


def _times(plan: Plan) -> Iterator[int]:
    for kind in plan.circuit_types.values():
        for stage in kind.stages:
            for action in stage.actions.values():
                if isinstance(action, Dose):
                    yield from (low_end(action.open_ms), low_end(action.shut_ms))
                    if isinstance(action.then, Pulses):
                        yield from (low_end(action.then.open_ms), low_end(action.then.shut_ms))
