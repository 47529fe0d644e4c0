"""From where runs have come, a few steps further: shows what lies too deep for a search from power-up.

Rule of this file: the solver begins in any of some states that runs have been in, as different as can be.
What it finds is a run to that state and steps from there, to be replayed from power-up like any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from steadfall.logic.nodes import Value
from steadfall.prove.engines.bounded import Unrolled, solver_for, steps_of
from steadfall.prove.runs.reached import Reached, reached
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer
from steadfall.prove.solver.space import Space
from steadfall.prove.system.replay import expand
from steadfall.prove.system.step import Model
from steadfall.runs.run import Run

NAME = "search from runs"
DEEPEST = 10  # steps from there


def search(model: Model, goal: Any, of: Rig, budget: Budget) -> Run | None:
    """A run to the goal, scan by scan; None where none is found within the budget."""
    known, which = reached(model, of), model.space.whole("which")
    begin = [terms.Const(f"{symbol}@begin", symbol.sort()) for symbol in model.state]
    solver = solver_for(model)
    solver.add(which >= 0, which < len(known))
    for slot, symbol in zip(model.slots, begin, strict=True):
        solver.add(*_given(model.space, symbol, which, [one.state[slot.key] for one in known]))
    unrolled = Unrolled(model, solver, begin)
    for _ in range(DEEPEST):
        frame = unrolled.extend()
        answer = solver.ask(budget, frame.of(goal))
        if answer is Answer.YES:
            found = solver.example()
            return _run(unrolled, found, of, known[found.eval(which, model_completion=True).as_long()])
        if answer is not Answer.NO:
            break
    return None


def _given(space: Space, symbol: Any, which: Any, values: Sequence[Value]) -> Iterable[Any]:
    """A part of the state, as it is in the state that is chosen."""
    places: dict[Value, list[int]] = {}
    for place, value in enumerate(values):
        places.setdefault(value, []).append(place)
    for value, here in places.items():
        same = symbol == space.value(value)
        yield terms.Implies(terms.Or([which == place for place in here]), same) if len(places) > 1 else same


def _run(unrolled: Unrolled, found: Any, of: Rig, begun: Reached) -> Run:
    """The run to where the solver begins, and its steps from there."""
    to_there = of.fast.closed(stimuli(of, begun.seed).part(0, begun.scan + 1))
    return to_there.then(expand(steps_of(unrolled, found), unrolled.model.longest_ms))
