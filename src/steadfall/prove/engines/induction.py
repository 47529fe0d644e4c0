"""k-induction: a violation that does not come within some steps, and never follows on so many good ones.

Rule of this file: the lemmas that it may lean on must themselves be kept by every step.
"""

from __future__ import annotations

import time
from typing import Any

import z3

from steadfall.prove.engines.bounded import Unrolled
from steadfall.prove.system.step import Model

NAME = "k-induction"
MOST_STEPS = 12


def proves(model: Model, bad: Any, seconds: float, lemma: Any = None) -> int:
    """In how many steps the violation is excluded; 0 where it is not."""
    until = time.monotonic() + seconds
    known = z3.And(model.ends, z3.BoolVal(True) if lemma is None else lemma)
    base, step = z3.SolverFor("QF_LIA"), z3.SolverFor("QF_LIA")
    first = Unrolled(model, base)
    anywhere = Unrolled(model, step, [z3.Const(f"{symbol}@any", symbol.sort()) for symbol in model.state])
    for depth in range(1, MOST_STEPS + 1):
        begun, later = first.extend(), anywhere.extend()
        step.add(later.of(known))
        for solver, frame in ((base, begun), (step, later)):
            left = until - time.monotonic()
            if left <= 0:
                return 0
            solver.set("timeout", int(left * 1000) + 1)
            answer = solver.check(frame.of(bad))
            if answer == z3.unsat and solver is step:
                return depth
            if answer != z3.unsat and solver is base:
                return 0
            if answer == z3.unknown:
                return 0
            solver.add(z3.Not(frame.of(bad)))
    return 0
