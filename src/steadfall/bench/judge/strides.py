"""How many cycles at once are looked at, where nothing new was read, and nothing written that tells anything.

Rule of this file: a stride that is not proved to be calm is taken cycle by cycle.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from steadfall.bench.session.journal import Row

LONGEST = 512  # cycles


class Strides:
    """The strides through a recording: longer as long as they succeed, shorter where one has failed."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self._stride = 2
        self._ends = [len(rows)] * len(rows)
        end = len(rows)
        for at in reversed(range(len(rows))):
            end = at if _tells(rows[at]) else end
            self._ends[at] = end

    def over(self, at: int, calm: Callable[[int], bool]) -> int:
        """The cycle after a stride from this one on; 0 where it must be looked at by itself.

        `calm`: whether up to a cycle nothing can have happened.
        """
        many = min(self._stride, self._ends[at] - at)
        while many > 1:
            if calm(at + many - 1):
                self._stride = min(2 * many, LONGEST)
                return at + many
            many //= 4
        self._stride = 2
        return 0


def _tells(row: Row) -> bool:
    return bool(row.power) or any(part.values for part in (*row.reads, *row.writes))
