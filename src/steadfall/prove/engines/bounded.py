"""The bounded search: the shortest counterexample, step by step.

Rule of this file: the first violation that it finds has the fewest steps there are. Among those of as many
steps it looks on for the one that takes the least time, as long as it is given; what was found is never lost
by that.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any

import z3
from attrs import frozen

from steadfall.prove.system.step import CUT, OFF, Model

NAME = "bounded search"


@frozen(eq=False)
class Found:
    """A way to the goal: the solver's answer and the symbols of each step."""

    steps: tuple[
        tuple[int, dict[str, bool | int | float], dict[str, float]], ...
    ]  # delay, whole and true/false inputs, readings


@frozen(eq=False)
class Frame:
    """One step's own symbols."""

    pairs: list[tuple[Any, Any]]

    def of(self, term: Any) -> Any:
        """A term of the model, at this step."""
        return z3.substitute(term, *self.pairs)


class Unrolled:
    """The steps from power-up on, one more at a time."""

    def __init__(self, model: Model, solver: Any, begin: list[Any] | None = None) -> None:
        self.model, self.solver = model, solver
        self.frames: list[Frame] = []
        self.now = begin or model.start

    def extend(self) -> Frame:
        """One more step."""
        model, number = self.model, len(self.frames)
        own = [(symbol, z3.Const(f"{symbol}@{number}", symbol.sort())) for symbol in model.inputs]
        frame = Frame([*own, *zip(model.state, self.now, strict=True)])
        self.solver.add(frame.of(model.allowed))
        after = [z3.Const(f"{symbol}@{number}", symbol.sort()) for symbol in model.state]
        self.solver.add(*(a == z3.simplify(frame.of(b)) for a, b in zip(after, model.after, strict=True)))
        self.frames.append(frame)
        self.now = after
        return frame


def solver_for(model: Model) -> Any:
    """A solver for the steps of a model."""
    return z3.SolverFor("QF_LIRA" if model.exact else "QF_LIA")


def search(
    model: Model, goal: Any, deepest: int, seconds: float, *, shorten: float = 0.0
) -> tuple[Found | None, int]:
    """The shortest way to the goal within so many steps; and how many steps were searched through.

    `shorten`: seconds in which, among the ways of as few steps, one of less time is looked for.
    """
    solver = solver_for(model)
    until = time.monotonic() + seconds
    unrolled = Unrolled(model, solver)
    for depth in range(deepest):
        frame = unrolled.extend()
        left = until - time.monotonic()
        if left <= 0:
            return None, depth
        solver.set("timeout", max(1, int(left * 1000)))
        answer = solver.check(frame.of(goal))
        if answer == z3.sat:
            best = soonest(unrolled, frame.of(goal), solver.model(), shorten) if shorten else solver.model()
            return Found(tuple(steps_of(unrolled, best))), depth
        if answer != z3.unsat:
            return None, depth
    return None, deepest


def soonest(unrolled: Unrolled, goal: Any, found: Any, seconds: float) -> Any:
    """The solver's answer that takes the least time, or the best that it knows when the seconds are over.

    The power is away for a scan's longest time at least where that breaks it as well, since less cannot be
    seen.
    """
    total = z3.Sum([frame.of(_time(unrolled.model)) for frame in unrolled.frames])
    solver, until, best = unrolled.solver, time.monotonic() + seconds, found
    solver.set("timeout", max(1, int(seconds * 1000)))
    asked = [goal, *_seen_without_power(unrolled)]
    if len(asked) > 1 and solver.check(*asked) == z3.sat:
        best = solver.model()
    else:
        asked = [goal]
    low, high = 0, best.eval(total, model_completion=True).as_long()
    while low < high and (left := until - time.monotonic()) > 0:
        middle = (low + high) // 2
        solver.set("timeout", max(1, int(left * 1000)))
        answer = solver.check(*asked, total <= middle)
        if answer == z3.sat:
            best = solver.model()
            high = best.eval(total, model_completion=True).as_long()
        elif answer == z3.unsat:
            low = middle + 1
        else:
            break
    return best


def _time(model: Model) -> Any:
    """How long a step takes, the time without power included."""
    return z3.If(z3.Bool(CUT), z3.Int(OFF), model.dt) if _has_cuts(model) else model.dt


def _seen_without_power(unrolled: Unrolled) -> list[Any]:
    """That each power cut lasts long enough to be seen."""
    if not _has_cuts(unrolled.model):
        return []
    lasts = z3.Implies(z3.Bool(CUT), z3.Int(OFF) >= unrolled.model.longest_ms)
    return [frame.of(lasts) for frame in unrolled.frames]


def _has_cuts(model: Model) -> bool:
    return any(symbol.decl().name() == CUT for symbol in model.inputs)


def steps_of(
    unrolled: Unrolled, found: Any
) -> Iterable[tuple[int, dict[str, bool | int | float], dict[str, float]]]:
    """The steps of the solver's answer."""
    model = unrolled.model
    for frame in unrolled.frames:

        def value(symbol: Any, frame: Frame = frame) -> Any:
            return found.eval(frame.of(symbol), model_completion=True)

        whole: dict[str, bool | int | float] = {}
        for name, symbol in model.named.items():
            answer = value(symbol)
            whole[name] = z3.is_true(answer) if z3.is_bool(symbol) else _number(answer)
        readings = {
            key.removeprefix("input!"): model.places.value(key, lambda place: z3.is_true(value(place)))
            for key in model.places.spans
            if key.startswith("input!")
        }
        if _has_cuts(model) and z3.is_true(value(z3.Bool(CUT))):
            yield 0, {CUT: value(z3.Int(OFF)).as_long()}, {}
        else:
            yield value(model.dt).as_long(), whole, readings


def _number(answer: Any) -> int | float:
    """A whole number, or what the controller takes for a measured one."""
    return int(answer.as_long()) if z3.is_int(answer) else float(answer.as_fraction())
