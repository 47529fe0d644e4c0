"""A lemma: while some facts are so, one clock is at most so far ahead of another; or facts that are never so
together.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space

Fact = tuple[int, int]  # the place of a part of the state, and the value that it has
NONE = -1  # in the place of a clock: always 0
State = Sequence[int]  # values by place


@frozen(cache_hash=True)
class Lemma:
    """Facts, two clocks by place, and the most that the first is ahead; the same clock twice: the facts are
    never so together.
    """

    facts: tuple[Fact, ...]
    left: int
    right: int
    most: int

    def breaks(self, state: State) -> bool:
        """Whether it is not so of a state."""
        if any(state[place] != value for place, value in self.facts):
            return False
        if self.left == self.right:
            return True
        left = state[self.left] if self.left != NONE else 0
        right = state[self.right] if self.right != NONE else 0
        return left - right > self.most

    @property
    def parts(self) -> int:
        """The parts of the state that it speaks of, as bits."""
        found = 0
        for place in (*(place for place, _ in self.facts), self.left, self.right):
            found |= 1 << place if place != NONE else 0
        return found

    def term(self, space: Space, state: Sequence[Any]) -> Any:
        """It as a term over symbols of the state."""
        so = [_fact(state[place], value, space) for place, value in self.facts]
        if self.left == self.right:
            return terms.Not(terms.And(so))
        left, right = (space.value(0) if place == NONE else state[place] for place in (self.left, self.right))
        if self.left == NONE:
            bound = right >= -self.most
        else:
            bound = left <= self.most if self.right == NONE else left - right <= self.most
        return terms.Implies(terms.And(so), bound) if so else bound


def _fact(symbol: Any, value: int, space: Space) -> Any:
    if terms.is_bool(symbol):
        return symbol if value else terms.Not(symbol)
    return symbol == space.value(value)
