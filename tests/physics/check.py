"""One row of the validation table: a published value and ours, or a published behaviour and ours.

Rule of this file: a row is data; the suite fails on a row that does not hold, the document shows every row.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import cached_property
from itertools import pairwise

from attrs import define, field, frozen

ALL_DIGITS = 12  # digits beyond which two numbers are the same


@frozen
class Check:
    """A number from outside the project, ours, and how near they must be (relative)."""

    what: str
    source: str
    expected: float
    got: float
    within: float
    unit: str = ""

    @property
    def error(self) -> float:
        """Relative error of ours."""
        return abs(self.got - self.expected) / abs(self.expected)

    @property
    def holds(self) -> bool:
        """Ours is near enough."""
        return self.error <= self.within

    @property
    def digits(self) -> str:
        """Digits of agreement: minus the decimal logarithm of the relative error."""
        if self.error <= 10.0**-ALL_DIGITS:
            return "all"
        return f"{max(-math.log10(self.error), 0.0):.1f}"


@frozen
class Behaviour:
    """A behaviour known from experiments, the figures by which ours shows it, and whether it does."""

    what: str
    source: str
    expected: str
    figures: tuple[float, ...]
    holds: bool
    unit: str = ""


Row = Check | Behaviour


@define(slots=False)
class Group:
    """A section of the validation: what it is about and the rows it makes, computed once."""

    name: str
    about: str
    make: Callable[[], Iterable[Row]] = field(repr=False)

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """Every row of the section."""
        return tuple(self.make())


def rising(values: Iterable[float]) -> bool:
    """Each value is greater than the one before."""
    return all(low < high for low, high in pairwise(values))


def falling(values: Iterable[float]) -> bool:
    """Each value is less than the one before."""
    return rising(-value for value in values)
