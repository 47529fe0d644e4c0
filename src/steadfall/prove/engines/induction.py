"""k-induction: a violation that does not come within some steps, and never follows on so many good ones.

Rule of this file: the lemmas that it may lean on must themselves be kept by every step.
"""

from __future__ import annotations

from typing import Any

from steadfall.prove.engines.bounded import Unrolled
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.step import Model

NAME = "k-induction"
MOST_STEPS = 12


def proves(model: Model, bad: Any, budget: Budget, lemma: Any = None) -> int:
    """In how many steps the violation is excluded; 0 where it is not."""
    known = model.ends if lemma is None else terms.And(model.ends, lemma)
    base, step = Solver(model.space), Solver(model.space)
    first = Unrolled(model, base)
    anywhere = Unrolled(model, step, [terms.Const(f"{symbol}@any", symbol.sort()) for symbol in model.state])
    for depth in range(1, MOST_STEPS + 1):
        begun, later = first.extend(), anywhere.extend()
        step.add(later.of(known))
        if base.ask(budget, begun.of(bad)) is not Answer.NO:
            return 0
        base.add(terms.Not(begun.of(bad)))
        answer = step.ask(budget, later.of(bad))
        if answer is not Answer.YES:
            return depth if answer is Answer.NO else 0
        step.add(terms.Not(later.of(bad)))
    return 0
