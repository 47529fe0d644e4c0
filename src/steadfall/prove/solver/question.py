"""A question to the solver, with a budget: whether all of this can be so at once.

Rule of this file: what the solver says comes out as an `Answer` of our own; when the budget is spent the
answer is OPEN. The part of the solver that prepares a lone question counts seconds, so it is never asked.
"""

from __future__ import annotations

from collections.abc import Sequence
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
        self._space = space
        self._solver = z3.SolverFor(logic, space.context)
        self._solver.push()  # from here on the incremental part answers
        self._named: dict[int, tuple[Any, Any]] = {}  # by its place in z3: a symbol and what z3 knows it by

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
        said = self._check(also)
        budget.spend(QUESTION + spent(self._solver) - before)
        if said == z3.unknown:
            hear(self._solver.reason_unknown(), budget)
        return Answer(str(said))

    def _check(self, also: Sequence[Any]) -> Any:
        """As the solver's own `check`, which looks at each of many symbols for its sort again."""
        row = (z3.Ast * len(also))(*(term.as_ast() for term in also))
        said = z3.Z3_solver_check_assumptions(self._space.context.ref(), self._solver.solver, len(also), row)
        return z3.CheckSatResult(said)

    def example(self) -> Any:
        """Values with which the last question is so; its `eval` gives them."""
        return self._solver.model()

    def values(self, symbols: Sequence[Any]) -> list[int]:
        """What these symbols are in the answer to the last question: whole numbers, 0 for false, 1 for true.

        What the answer does not speak of is 0.
        """
        found, context, known = self._solver.model(), self._space.context.ref(), self._named
        values = []
        for symbol in symbols:
            at = symbol.ast.value
            if at not in known:
                known[at] = symbol, z3.Z3_get_app_decl(context, symbol.ast)
            value = z3.Z3_model_get_const_interp(context, found.model, known[at][1])
            if not value:
                values.append(0)
            elif z3.Z3_get_ast_kind(context, value) == z3.Z3_NUMERAL_AST:
                values.append(int(z3.Z3_get_numeral_string(context, value)))
            else:
                values.append(int(z3.Z3_get_bool_value(context, value) == z3.Z3_L_TRUE))
        return values

    def clash(self, asked: Sequence[Any]) -> list[int]:
        """The places of those terms of the last question that cannot be so together."""
        known = set(self.core())
        return [place for place, term in enumerate(asked) if term.get_id() in known]

    def core(self) -> list[int]:
        """The numbers, as `get_id` gives them, of those terms of the last question that cannot be so
        together.
        """
        found, context = self._solver.unsat_core(), self._space.context.ref()
        every = (z3.Z3_ast_vector_get(context, found.vector, place) for place in range(len(found)))
        return [z3.Z3_get_ast_id(context, one) for one in every]


def hear(why: str, budget: Budget) -> None:
    """Raises KeyboardInterrupt where the solver was stopped though it might go on: it took the signal of
    Ctrl-C, and Python has not seen it.
    """
    if not budget.empty and any(word in why for word in STOPPED):
        raise KeyboardInterrupt


def spent(asked: Any) -> int:
    """The units of work that a solver's space has done so far."""
    figures = asked.statistics()
    context = figures.ctx.ref()
    for place in reversed(range(len(figures))):  # it stands near the end
        if z3.Z3_stats_get_key(context, figures.stats, place) == "rlimit count":
            return int(z3.Z3_stats_get_uint_value(context, figures.stats, place))
    return 0
