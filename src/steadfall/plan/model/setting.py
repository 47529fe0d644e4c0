"""Settings: numbers of the controller that may be changed on the panel, within ends that the plan gives.

Rule of this file: a number that hangs on settings is still a number, the one at their defaults, so that
whoever only shows or reckons roughly need not know. Whoever must be right for every setting asks `node_of` in
the logic, or `low_end` and `high_end` here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import frozen

from steadfall.quantities import how_long
from steadfall.source import Marks, at


@frozen
class Setting:
    """A number that may be changed on the panel: what it measures, its default, its ends (SI; times in s)."""

    name: str
    dimension: str
    default: float
    low: float
    high: float
    unit: str  # the spelling of its ends, in which the panel shows it
    at: Marks = at()

    @property
    def is_time(self) -> bool:
        """Whether a timer of the controller counts it."""
        return self.dimension == "time"

    @property
    def is_read(self) -> bool:
        """Whether its numbers could be read."""
        return (
            bool(self.dimension)
            and self.low + self.default + self.high == self.low + self.default + self.high
        )

    @property
    def ends_ms(self) -> tuple[int, int]:
        """Its ends where it is a time."""
        return round(self.low * 1000), round(self.high * 1000)

    @property
    def default_ms(self) -> int:
        """Its default where it is a time."""
        return round(self.default * 1000)


class Preset(int):
    """A time in ms that hangs on settings: so many times each, and so much more."""

    of: tuple[tuple[Setting, int], ...]
    more: int

    def __new__(cls, of: Mapping[Setting, int], more: int = 0) -> Preset:
        """The number is the one at the defaults."""
        made = super().__new__(cls, sum(one.default_ms * times for one, times in of.items()) + more)
        made.of, made.more = tuple(of.items()), more
        return made

    def __add__(self, other: int) -> Preset:
        of = dict(self.of)
        for one, times in other.of if isinstance(other, Preset) else ():
            of[one] = of.get(one, 0) + times
        return Preset(of, self.more + (other.more if isinstance(other, Preset) else other))

    __radd__ = __add__

    def __mul__(self, times: int) -> Preset:
        return Preset({one: own * times for one, own in self.of}, self.more * times)

    __rmul__ = __mul__

    def __sub__(self, other: int) -> Preset:
        return self + other * -1

    def __rsub__(self, other: int) -> Preset:
        return self * -1 + other

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Preset) and (self.of, self.more) == (other.of, other.more)

    def __hash__(self) -> int:
        return hash((self.of, self.more))

    def __reduce__(self) -> tuple[Any, ...]:
        return Preset, (dict(self.of), self.more)

    def end(self, *, high: bool) -> int:
        """The least or the greatest that it can be."""
        return self.more + sum(times * one.ends_ms[(times > 0) == high] for one, times in self.of)

    @property
    def words(self) -> str:
        """Its settings by name, as a sentence has them: `first_dose + 40 ms`."""
        parts = [one.name if times == 1 else f"{times} x {one.name}" for one, times in self.of]
        return " + ".join([*parts, *([how_long(self.more)] if self.more else [])])


class Level(float):
    """A measured value, in SI or percent, that is a setting."""

    of: Setting

    def __new__(cls, of: Setting) -> Level:
        """The number is the default."""
        made = super().__new__(cls, of.default)
        made.of = of
        return made

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Level) and self.of == other.of

    def __hash__(self) -> int:
        return hash(self.of)

    def __reduce__(self) -> tuple[Any, ...]:
        return Level, (self.of,)


def low_level(value: float) -> float:
    """The least that a measured value can be."""
    return value.of.low if isinstance(value, Level) else value


def high_level(value: float) -> float:
    """The greatest that a measured value can be."""
    return value.of.high if isinstance(value, Level) else value


def low_end(ms: int) -> int:
    """The least that a time can be."""
    return ms.end(high=False) if isinstance(ms, Preset) else ms


def high_end(ms: int) -> int:
    """The greatest that a time can be."""
    return ms.end(high=True) if isinstance(ms, Preset) else ms


def settings_of(number: float) -> tuple[Setting, ...]:
    """The settings on which a number hangs."""
    if isinstance(number, Preset):
        return tuple(one for one, _ in number.of)
    return (number.of,) if isinstance(number, Level) else ()
