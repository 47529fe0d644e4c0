"""One row per measurement: what, how much, and the floor it is held against."""

from __future__ import annotations

import sys

from attrs import frozen


@frozen
class Row:
    """A measurement; `floor` is the figure it must stay under (or over), '' when it is only reported."""

    what: str
    value: float
    unit: str
    floor: float | None = None
    at_least: bool = False

    @property
    def holds(self) -> bool | None:
        """Whether the floor is kept; None when there is none."""
        if self.floor is None:
            return None
        return self.value >= self.floor if self.at_least else self.value <= self.floor


def show(row: Row) -> None:
    """Print a row as soon as it is measured."""
    floor = "" if row.floor is None else f"{'at least' if row.at_least else 'at most'} {row.floor:g}"
    verdict = {True: "kept", False: "MISSED", None: ""}[row.holds]
    print(f"{row.what:<66} {row.value:>10.4g} {row.unit:<6} {floor:<14} {verdict}")
    sys.stdout.flush()
