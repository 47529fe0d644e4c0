"""From where runs have come, a few steps further: shows what lies too deep for a search from power-up.

Rule of this file: the solver begins in any of some states that runs have been in, as different as can be.
What it finds is a run to that state and steps from there, to be replayed from power-up like any other.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from typing import Any

import z3

from steadfall.logic.nodes import Value
from steadfall.prove.engines.bounded import Unrolled, solver_for, steps_of
from steadfall.prove.runs.reached import Reached, reached
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.replay import expand
from steadfall.prove.system.step import Model, number
from steadfall.runs.run import Run

NAME = "search from runs"
DEEPEST = 10  # steps from there


def search(model: Model, goal: Any, of: Rig, seconds: float) -> Run | None:
    """A run to the goal, scan by scan; None where none is found in the time."""
    until = time.monotonic() + seconds
    known, which = reached(model, of), z3.Int("which")
    begin = [z3.Const(f"{symbol}@begin", symbol.sort()) for symbol in model.state]
    solver = solver_for(model)
    solver.add(which >= 0, which < len(known))
    for slot, symbol in zip(model.slots, begin, strict=True):
        solver.add(*_given(symbol, which, [one.state[slot.key] for one in known]))
    unrolled = Unrolled(model, solver, begin)
    for _ in range(DEEPEST):
        frame, left = unrolled.extend(), until - time.monotonic()
        if left <= 0:
            break
        solver.set("timeout", max(1, int(left * 1000)))
        answer = solver.check(frame.of(goal))
        if answer == z3.sat:
            found = solver.model()
            return _run(unrolled, found, of, known[found.eval(which, model_completion=True).as_long()])
        if answer != z3.unsat:
            break
    return None


def _given(symbol: Any, which: Any, values: Sequence[Value]) -> Iterable[Any]:
    """A part of the state, as it is in the state that is chosen."""
    places: dict[Value, list[int]] = {}
    for place, value in enumerate(values):
        places.setdefault(value, []).append(place)
    for value, here in places.items():
        same = symbol == number(value)
        yield z3.Implies(z3.Or([which == place for place in here]), same) if len(places) > 1 else same


def _run(unrolled: Unrolled, found: Any, of: Rig, begun: Reached) -> Run:
    """The run to where the solver begins, and its steps from there."""
    to_there = of.fast.closed(stimuli(of, begun.seed).part(0, begun.scan + 1))
    return to_there.then(expand(steps_of(unrolled, found), unrolled.model.longest_ms))
