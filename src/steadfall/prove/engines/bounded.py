"""The bounded search: the shortest counterexample, step by step.

Rule of this file: the first violation that it finds has the fewest steps there are. Among those of as many
steps it looks on for the one that takes the least time, within what it is given; what was found is never lost
by that.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from attrs import frozen

from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import MIXED, WHOLE, Answer, Solver
from steadfall.prove.system.bounds.intervals import of_input
from steadfall.prove.system.replay import BigStep, Cut
from steadfall.prove.system.step import Model

NAME = "bounded search"


@frozen(eq=False)
class Found:
    """A way to the goal: the solver's answer and the symbols of each step."""

    steps: tuple[BigStep, ...]


@frozen(eq=False)
class Frame:
    """One step's own symbols."""

    pairs: list[tuple[Any, Any]]

    def of(self, term: Any) -> Any:
        """A term of the model, at this step."""
        return terms.substitute(term, *self.pairs)


class Unrolled:
    """The steps from power-up on, one more at a time."""

    def __init__(self, model: Model, solver: Solver, begin: list[Any] | None = None) -> None:
        self.model, self.solver = model, solver
        self.frames: list[Frame] = []
        self.now = begin or model.start

    def extend(self) -> Frame:
        """One more step."""
        model, number = self.model, len(self.frames)
        own = [(symbol, terms.Const(f"{symbol}@{number}", symbol.sort())) for symbol in model.inputs]
        frame = Frame([*own, *zip(model.state, self.now, strict=True)])
        self.solver.add(frame.of(model.allowed))
        after = [terms.Const(f"{symbol}@{number}", symbol.sort()) for symbol in model.state]
        self.solver.add(*(a == terms.simplify(frame.of(b)) for a, b in zip(after, model.after, strict=True)))
        self.frames.append(frame)
        self.now = after
        return frame


def solver_for(model: Model) -> Solver:
    """A solver for the steps of a model."""
    return Solver(model.space, MIXED if model.exact else WHOLE)


def search(
    model: Model, goal: Any, deepest: int, budget: Budget, *, shorten: int = 0
) -> tuple[Found | None, int]:
    """The shortest way to the goal within so many steps; and how many steps were searched through.

    `shorten`: units of work for which, among the ways of as few steps, one of less time is looked for.
    """
    solver = solver_for(model)
    unrolled = Unrolled(model, solver)
    for depth in range(deepest):
        frame = unrolled.extend()
        answer = solver.ask(budget, frame.of(goal))
        if answer is Answer.YES:
            found = solver.example()
            best = soonest(unrolled, frame.of(goal), found, Budget(shorten)) if shorten else found
            return Found(tuple(steps_of(unrolled, best))), depth
        if answer is Answer.OPEN:
            return None, depth
    return None, deepest


def soonest(unrolled: Unrolled, goal: Any, found: Any, budget: Budget) -> Any:
    """The solver's answer that takes the least time, or the best that it knows when the budget is spent.

    The power is away for a scan's longest time at least where that breaks it as well, since less cannot be
    seen.
    """
    total = terms.Sum([frame.of(_time(unrolled.model)) for frame in unrolled.frames])
    solver, best = unrolled.solver, found
    asked = [goal, *_seen_without_power(unrolled)]
    if len(asked) > 1 and solver.ask(budget, *asked) is Answer.YES:
        best = solver.example()
    else:
        asked = [goal]
    low, high = 0, best.eval(total, model_completion=True).as_long()
    while low < high:
        middle = (low + high) // 2
        answer = solver.ask(budget, *asked, total <= middle)
        if answer is Answer.YES:
            best = solver.example()
            high = best.eval(total, model_completion=True).as_long()
        elif answer is Answer.NO:
            low = middle + 1
        else:
            break
    return best


def _time(model: Model) -> Any:
    """How long a step takes, the time without power included."""
    return terms.If(*model.cut, model.dt) if model.cut else model.dt


def _seen_without_power(unrolled: Unrolled) -> list[Any]:
    """That each power cut lasts long enough to be seen."""
    if unrolled.model.cut is None:
        return []
    cut, off = unrolled.model.cut
    lasts = terms.Implies(cut, off >= unrolled.model.longest_ms)
    return [frame.of(lasts) for frame in unrolled.frames]


def steps_of(unrolled: Unrolled, found: Any) -> Iterable[BigStep]:
    """The steps of the solver's answer."""
    model = unrolled.model
    for frame in unrolled.frames:

        def value(symbol: Any, frame: Frame = frame) -> Any:
            return found.eval(frame.of(symbol), model_completion=True)

        whole: dict[str, bool | int | float] = {}
        for name, symbol in model.named.items():
            answer = value(symbol)
            whole[name] = terms.is_true(answer) if terms.is_bool(symbol) else _number(answer)
        readings = {
            row.name: model.places.value(of_input(row.name), lambda place: terms.is_true(value(place)))
            for row in model.network.inputs
            if of_input(row.name) in model.places.spans
        }
        if model.cut and terms.is_true(value(model.cut[0])):
            yield Cut(value(model.cut[1]).as_long())
        else:
            yield value(model.dt).as_long(), whole, readings


def _number(answer: Any) -> int | float:
    """A whole number, or what the controller takes for a measured one."""
    return int(answer.as_long()) if terms.is_int(answer) else float(answer.as_fraction())
