"""Values of which only something is known: a BOOL that may be either, a number between two ends.

Rule of this file: what comes out covers every value that can come out; it may cover more. A BOOL is True,
False or None (either); a number is a `Span`. 0 and -0 count as one number.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from attrs import frozen

from steadfall.comparisons import HOLDS
from steadfall.logic.nodes import LARGEST

Either = bool | None
FEW = 12


@frozen
class Span:
    """A number between two ends, both included; `strange`: it may also be no number at all.

    `few`: the only values that it can have, where these are few.
    """

    low: float
    high: float
    strange: bool = False
    few: frozenset[float] | None = None

    @property
    def empty(self) -> bool:
        """Whether no number is in it."""
        return self.low > self.high

    @property
    def members(self) -> frozenset[float] | None:
        """The only values that it can have, where that is known."""
        return frozenset((self.low,)) if self.low == self.high else self.few

    @property
    def exact(self) -> bool:
        """Whether it is one value."""
        return self.empty if self.strange else self.low == self.high


Partial = Either | Span
STRANGE = Span(math.inf, -math.inf, True)
ANY = Span(-math.inf, math.inf, True)  # of a REAL
WHOLE = Span(-math.inf, math.inf)  # of an INT or TIME
LATER = Span(0, math.inf)  # of what is counted


def exactly(value: Any) -> Partial:
    """A value that is known."""
    if isinstance(value, bool):
        return value
    return STRANGE if value != value else Span(value, value)  # noqa: PLR0124 - only "not a number" differs


def known(value: Partial) -> bool:
    """Whether it is one value."""
    return value.exact if isinstance(value, Span) else value is not None


def negated(value: Either) -> Either:
    """The opposite."""
    return None if value is None else not value


def every(parts: Iterable[Either]) -> Either:
    """Whether all hold."""
    found = list(parts)
    return False if False in found else None if None in found else True


def some(parts: Iterable[Either]) -> Either:
    """Whether at least one holds."""
    found = list(parts)
    return True if True in found else None if None in found else False


def joined(parts: Iterable[Partial]) -> Any:
    """What is one of these, and nobody knows which."""
    first, *rest = parts
    for part in rest:
        first = _either(first, part)
    return first


def _either(a: Partial, b: Partial) -> Partial:
    if isinstance(a, Span) and isinstance(b, Span):
        ends = min(a.low, b.low), max(a.high, b.high), a.strange or b.strange
        one, other = a.members, b.members
        few = one | other if one is not None and other is not None else None
        return Span(*ends, few if few is not None and len(few) <= FEW else None)
    return a if a == b else None


def apart(a: Partial, b: Partial) -> bool:
    """Whether nothing can be both."""
    if isinstance(a, Span) and isinstance(b, Span):
        return not (a.strange and b.strange) and (a.empty or b.empty or _apart(a, b))
    return a is not None and b is not None and a != b


def _apart(a: Span, b: Span) -> bool:
    one, other = a.members, b.members
    if one is not None and other is not None:
        return one.isdisjoint(other)
    return a.high < b.low or b.high < a.low


def compared(op: str, a: Partial, b: Partial) -> Either:
    """A comparison; with what is no number only `<>` holds."""
    if not isinstance(a, Span) or not isinstance(b, Span):
        return None if a is None or b is None else HOLDS[op](a, b)
    outcomes = {op == "<>"} if a.strange or b.strange else set[bool]()
    if not a.empty and not b.empty:
        outcomes |= _outcomes(op, a, b)
    return outcomes.pop() if len(outcomes) == 1 else None


def _outcomes(op: str, a: Span, b: Span) -> set[bool]:
    if op in ("=", "<>"):
        same = a.low == a.high == b.low == b.high
        equal = {False} if _apart(a, b) else {True} if same else {True, False}
        return equal if op == "=" else {not one for one in equal}
    return {HOLDS[op](a.low, b.high), HOLDS[op](a.high, b.low)}


def summed(a: Span, b: Span, exact: Callable[[float, float], float], *, whole: bool) -> Span:
    """A sum or a difference; of whole numbers it stops at +-2^53."""
    found = _corners(a, b, exact)
    return Span(_stopped(found.low), _stopped(found.high)) if whole else found


def product(a: Span, b: Span) -> Span:
    """A product; nothing times without end is no number, also within the ends."""
    if not (a.exact and b.exact) and ((_nothing(a) and _endless(b)) or (_nothing(b) and _endless(a))):
        return ANY
    return _corners(a, b, lambda x, y: x * y)


def _corners(a: Span, b: Span, exact: Callable[[float, float], float]) -> Span:
    if a.empty or b.empty:
        return STRANGE
    found = [exact(x, y) for x in {a.low, a.high} for y in {b.low, b.high}]
    numbers = [value for value in found if value == value]  # noqa: PLR0124
    strange = a.strange or b.strange or len(numbers) < len(found)
    return Span(min(numbers), max(numbers), strange) if numbers else STRANGE


def _stopped(value: float) -> float:
    return min(max(value, -LARGEST), LARGEST)


def _nothing(one: Span) -> bool:
    return one.low <= 0 <= one.high


def _endless(one: Span) -> bool:
    return math.inf in (abs(one.low), abs(one.high))


def least(a: Span, b: Span) -> Span:
    """The lesser of two; the right one where they cannot be compared."""
    return _chosen(a, b, min)


def greatest(a: Span, b: Span) -> Span:
    """The greater of two; the right one where they cannot be compared."""
    return _chosen(a, b, max)


def _chosen(a: Span, b: Span, pick: Callable[[float, float], float]) -> Span:
    if a.empty or b.empty:
        return b
    both = Span(pick(a.low, b.low), pick(a.high, b.high), b.strange)
    return joined((both, b)) if a.strange else both
