"""How much a solver may do: counted in its own units of work, never in seconds.

Rule of this file: a budget is spent by counts that are the same on every machine, however busy it is; so what
is found within it is found everywhere. A part of a budget is spent from the whole as well.
"""

from __future__ import annotations

from attrs import define

QUESTION = 2_000  # units that a question costs besides: to put it takes time too


@define(eq=False)
class Budget:
    """Units of work that are left; some two million of them take a processor of today a second."""

    left: int
    whole: Budget | None = None  # of which this is a part

    def part(self, most: float) -> Budget:
        """So much of it, or what is left."""
        return Budget(max(0, min(int(most), self.left)), self)

    def spend(self, units: int) -> None:
        """Takes units away."""
        self.left -= units
        if self.whole is not None:
            self.whole.spend(units)

    @property
    def empty(self) -> bool:
        """Whether nothing is left."""
        return self.left <= 0
