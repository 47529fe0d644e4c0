"""A question to the solver, with a budget: whether all of this can be so at once.

Rule of this file: what the solver says comes out as an `Answer` of our own; when the budget is spent the
answer is OPEN. The part of the solver that prepares a lone question counts seconds, so it is never asked.
"""

from __future__ import annotations

from enum import Enum
from typing import Any

import z3

from steadfall.prove.solver.budget import QUESTION, Budget
from steadfall.prove.solver.space import Space

WHOLE, MIXED = "QF_LIA", "QF_LIRA"  # logics: whole numbers; with real numbers besides
STOPPED = ("canceled", "interrupted from keyboard")  # in what the solver says when it was made to stop
MOST = 2**32 - 1  # units that the solver can be told


class Answer(Enum):
    """What the solver says."""

    YES = "sat"
    NO = "unsat"
    OPEN = "unknown"


class Solver:
    """Facts that are so, and questions whether something more can be so with them."""

    def __init__(self, space: Space, logic: str = WHOLE) -> None:
        self._solver = z3.SolverFor(logic, space.context)
        self._solver.push()  # from here on the incremental part answers

    def add(self, *facts: Any) -> None:
        """From now on these are so."""
        self._solver.add(*facts)

    def push(self) -> None:
        """What is added from now on is taken back by `pop`."""
        self._solver.push()

    def pop(self) -> None:
        """Takes back what was added since `push`."""
        self._solver.pop()

    def ask(self, budget: Budget, *also: Any) -> Answer:
        """Whether the facts and these can all be so; the budget pays for it."""
        if budget.empty:
            return Answer.OPEN
        self._solver.set("rlimit", min(budget.left, MOST))
        before = spent(self._solver)
        said = self._solver.check(*also)
        budget.spend(QUESTION + spent(self._solver) - before)
        if said == z3.unknown:
            hear(self._solver.reason_unknown(), budget)
        return Answer(str(said))

    def example(self) -> Any:
        """Values with which the last question is so; its `eval` gives them."""
        return self._solver.model()

    def core(self) -> list[str]:
        """The names of those symbols of the last question that cannot be so together."""
        return [str(one) for one in self._solver.unsat_core()]


def hear(why: str, budget: Budget) -> None:
    """Raises KeyboardInterrupt where the solver was stopped though it might go on: it took the signal of
    Ctrl-C, and Python has not seen it.
    """
    if not budget.empty and any(word in why for word in STOPPED):
        raise KeyboardInterrupt


def spent(asked: Any) -> int:
    """The units of work that a solver's space has done so far."""
    figures = asked.statistics()
    return int(figures.get_key_value("rlimit count")) if "rlimit count" in figures.keys() else 0  # noqa: SIM118
