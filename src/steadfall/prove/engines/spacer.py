"""The fixed-point engine: finds an inductive invariant, or finds that there is a way to the violation.

Rule of this file: what it says is proved comes with the invariant it found, in symbols of the state before a
step.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.fixed_point import Steps, reach
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.step import Model

NAME = "fixed point"
OPTIONS: Mapping[str, Any] = {"spacer.order_children": 2}
ONE_STEP = 4_000_000  # units at most, to see whether a single step excludes it


def invariant(model: Model, bad: Any, budget: Budget, *, looked: bool = False) -> Any | bool | None:
    """An invariant that excludes the violation; False where there is a way to it; None where neither is
    found within the budget.

    `looked`: it is known that a single step does not exclude it.

    Tried both ways: the dose pauses of the demo plan want the weak abstraction off, a few others want it on.
    """
    if not looked and never_in_a_step(model, bad, budget):
        return model.space.value(True)
    half = budget.left // 2
    found = _ask(model, bad, budget.part(half), {**OPTIONS, "spacer.weak_abs": False})
    if found is None:
        found = _ask(model, bad, budget.part(half), {**OPTIONS, "spacer.weak_abs": True})
    return found


def plain(model: Model, bad: Any, budget: Budget) -> Any | bool | None:
    """The engine as it comes, with none of this project's settings; to measure against."""
    return _ask(model, bad, budget, {})


def _ask(model: Model, bad: Any, budget: Budget, options: Mapping[str, Any]) -> Any | bool | None:
    allowed = terms.And(model.ends, model.allowed)
    steps = Steps(model.state, model.start, model.inputs, allowed, model.after)
    answer, found = reach(model.space, steps, bad, budget, options)
    return False if answer is Answer.YES else found


def never_in_a_step(model: Model, bad: Any, budget: Budget) -> bool:
    """Whether the violation is impossible in any state at all, reached or not."""
    solver = Solver(model.space)
    solver.add(model.ends, model.allowed, bad)
    return solver.ask(budget.part(ONE_STEP)) is Answer.NO
