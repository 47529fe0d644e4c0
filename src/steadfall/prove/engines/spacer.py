"""The fixed-point engine: finds an inductive invariant, or finds that there is a way to the violation.

Rule of this file: what it says is proved comes with the invariant it found, in symbols of the state before a
step.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import z3

from steadfall.prove.system.step import Model

NAME = "fixed point"
OPTIONS: Mapping[str, Any] = {"spacer.order_children": 2}


def invariant(model: Model, bad: Any, seconds: float, *, looked: bool = False) -> Any | bool | None:
    """An invariant that excludes the violation; False where there is a way to it; None where time ran out.

    `looked`: it is known that a single step does not exclude it.

    Tried both ways: the dose pauses of the demo plan want the weak abstraction off, a few others want it on.
    """
    if not looked and never_in_a_step(model, bad):
        return z3.BoolVal(True)
    found = _ask(model, bad, seconds / 2, {**OPTIONS, "spacer.weak_abs": False})
    return _ask(model, bad, seconds / 2, {**OPTIONS, "spacer.weak_abs": True}) if found is None else found


def plain(model: Model, bad: Any, seconds: float) -> Any | bool | None:
    """The engine as it comes, with none of this project's settings; to measure against."""
    return _ask(model, bad, seconds, {})


def _ask(model: Model, bad: Any, seconds: float, options: Mapping[str, Any]) -> Any | bool | None:
    state = model.state
    holds = z3.Function("holds", *(symbol.sort() for symbol in state), z3.BoolSort())
    engine = z3.Fixedpoint()
    engine.set(engine="spacer", timeout=max(1, int(seconds * 1000)))
    for name, value in options.items():
        engine.set(name, value)
    engine.register_relation(holds)
    engine.declare_var(*state, *model.inputs)
    before = z3.And(holds(*state), model.ends, model.allowed)
    engine.rule(holds(*model.start))
    engine.rule(holds(*model.after), before)
    broken = z3.Function("broken", z3.BoolSort())
    engine.register_relation(broken)
    engine.rule(broken(), z3.And(before, bad))
    try:
        found = engine.query(broken())
        if found == z3.unsat:
            return _of(engine.get_answer(), holds, state)
    except z3.Z3Exception:
        return None
    return False if found == z3.sat else None


def never_in_a_step(model: Model, bad: Any, seconds: float = 2.0) -> bool:
    """Whether the violation is impossible in any state at all, reached or not."""
    solver = z3.SolverFor("QF_LIA")
    solver.set("timeout", int(seconds * 1000))
    solver.add(model.ends, model.allowed, bad)
    return bool(solver.check() == z3.unsat)


def _has_quantifier(term: Any) -> bool:
    return z3.is_quantifier(term) or any(_has_quantifier(part) for part in term.children())


def _of(answer: Any, holds: Any, state: list[Any]) -> Any | None:
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
