"""One row of the validation table: a published value and ours, or a published behaviour and ours.

Rule of this file: a row is data; the suite fails on a row that does not hold, the document shows every row.
A row that could not fail is refused when it is made.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import cached_property
from itertools import pairwise

from attrs import define, field, frozen
from attrs.validators import gt, lt

ALL_DIGITS = 12  # digits beyond which two numbers are the same


@frozen
class Check:
    """A number from outside the project, ours, and how near they must be (relative).

    A tolerance of 1 would let nothing pass for anything: it is refused.
    """

    what: str
    source: str
    expected: float
    got: float
    within: float = field(validator=lt(1.0))
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

    @property
    def tolerance(self) -> str:
        """How near ours must be, as the document says it."""
        return f"{100 * self.within:g} %"


@frozen
class Scatter:
    """A number from outside the project whose own scatter is a factor: ours may be so many times it, or it
    ours.
    """

    what: str
    source: str
    expected: float
    got: float
    factor: float = field(validator=gt(1.0))
    unit: str = ""

    @property
    def holds(self) -> bool:
        """Ours is near enough, on either side."""
        return self.expected / self.factor <= self.got <= self.expected * self.factor

    @property
    def digits(self) -> str:
        """How many times the greater is the smaller."""
        return f"x {max(self.got / self.expected, self.expected / self.got):.2f}"

    @property
    def tolerance(self) -> str:
        """How near ours must be, as the document says it."""
        return f"factor {self.factor:g}"


@frozen
class Behaviour:
    """A behaviour known from experiments, the figures by which ours shows it, and whether it does."""

    what: str
    source: str
    expected: str
    figures: tuple[float, ...]
    holds: bool
    unit: str = ""


Row = Check | Scatter | Behaviour


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
