"""The solver's fixed-point engine, which tells whether steps ever reach something.

Rule of this file: it answers with an invariant over the state, or that there is a way, or that the budget is
spent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import z3
from attrs import frozen

from steadfall.prove.solver.budget import QUESTION, Budget
from steadfall.prove.solver.question import MOST, Answer, hear, spent
from steadfall.prove.solver.space import Space


@frozen(eq=False)
class Steps:
    """A system of steps: its state, how it begins, the inputs of a step, what is so of one, what follows."""

    state: Sequence[Any]
    start: Sequence[Any]
    inputs: Sequence[Any]
    allowed: Any
    after: Sequence[Any]


def reach(
    space: Space, steps: Steps, bad: Any, budget: Budget, options: Mapping[str, Any]
) -> tuple[Answer, Any]:
    """Whether `bad` is ever so in a step, with an invariant that excludes it where it is not and one is
    known.
    """
    if budget.empty:
        return Answer.OPEN, None
    sort = z3.BoolSort(space.context)
    holds = z3.Function("holds", *(symbol.sort() for symbol in steps.state), sort)
    engine = z3.Fixedpoint(ctx=space.context)
    engine.set(engine="spacer", rlimit=min(budget.left, MOST))
    for name, value in options.items():
        engine.set(name, value)
    engine.register_relation(holds)
    engine.declare_var(*steps.state, *steps.inputs)
    before = z3.And(holds(*steps.state), steps.allowed)
    engine.rule(holds(*steps.start))
    engine.rule(holds(*steps.after), before)
    reached = z3.Function("reached", sort)
    engine.register_relation(reached)
    engine.rule(reached(), z3.And(before, bad))
    begun = spent(engine)
    try:
        said = engine.query(reached())
        why = engine.reason_unknown()
        found = _definition(engine.get_answer(), holds, steps.state) if said == z3.unsat else None
    except z3.Z3Exception as error:  # the budget is spent, or the solver gives up
        said, why, found = z3.unknown, str(error), None
    budget.spend(QUESTION + spent(engine) - begun)
    if said == z3.unknown:
        hear(why, budget)
    return Answer(str(said)), found


def _definition(answer: Any, holds: Any, state: Sequence[Any]) -> Any | None:
    """The definition of the invariant in the engine's answer."""
    parts = answer.children() if z3.is_and(answer) else [answer]
    for part in parts:
        if not z3.is_quantifier(part):
            continue
        body = part.body()
        if z3.is_eq(body) and body.arg(0).decl().name() == holds.name():
            head, text = body.arg(0), body.arg(1)
            order = [z3.get_var_index(head.arg(place)) for place in range(head.num_args())]
            by_index: list[Any] = [None] * len(order)
            for place, index in enumerate(order):
                by_index[index] = state[place]
            found = z3.substitute_vars(text, *by_index)
            return None if _has_quantifier(found) else found
    return None


def _has_quantifier(term: Any) -> bool:
    return z3.is_quantifier(term) or any(_has_quantifier(part) for part in term.children())
