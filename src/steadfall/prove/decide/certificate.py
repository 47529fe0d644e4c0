"""A proof as text that any solver can check: the invariant and three questions whose answer must be "unsat".

Rule of this file: the text is SMT-LIB 2.6. The invariant holds before the first scan; a step keeps it; it
excludes the violation. A k-inductive proof asks for k steps instead of one. Whoever checks needs the text and
nothing of the engine. An invariant is read as one term over the state before it is written into the text:
it may come from a file that anybody has changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.solver import terms
from steadfall.prove.solver.term_text import one_term
from steadfall.prove.system.step import Model


@frozen
class Certificate:
    """What excludes a violation: the invariant as text over the state, and which signals it leaves free."""

    invariant: str
    freed: tuple[str, ...] = ()
    steps: int = 1  # of a k-inductive proof

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {"invariant": self.invariant, "freed": list(self.freed), "steps": self.steps}


def text_of(term: Any) -> str:
    """A term as SMT-LIB text on one line."""
    return " ".join(str(term.sexpr()).split())


def sorts(model: Model) -> dict[str, str]:
    """What an invariant may speak of: the parts of the state, and the sort of each."""
    return {str(symbol): str(symbol.sort()) for symbol in model.state}


def script(model: Model, bad: Any, certificate: Certificate) -> str:
    """The three questions for a stored invariant, from the model as it is now; raises NotATermError."""
    invariant = one_term(certificate.invariant, sorts(model))
    inside = Frames(model, certificate.steps)
    states = [inside.state(number) for number in range(certificate.steps + 1)]
    head = [
        "(set-logic QF_LIA)",
        *declared([*_every(states), *inside.inputs()]),
        (f"(define-fun invariant ({parameters(model.state)}) Bool (and {invariant} {text_of(model.ends)}))"),
    ]
    steps = range(certificate.steps)
    begin = [f"(assert {text_of(inside.at(model.begins(), 0))})"]
    moves = [f"(assert {text_of(inside.move(number))})" for number in steps]
    allowed = [f"(assert {text_of(inside.at(model.allowed, number))})" for number in steps]
    safe = [f"(assert {call('invariant', states[number])})" for number in steps]
    return "\n".join(
        [
            *head,
            "; 1. it holds before the first scan",
            *ask([*begin, f"(assert (not {call('invariant', states[0])}))"]),
            "; 2. a step keeps it",
            *ask([safe[0], allowed[0], moves[0], f"(assert (not {call('invariant', states[1])}))"]),
            "; 3. it excludes the violation",
            *ask([*_reach(inside, certificate, begin, (safe, allowed, moves), bad)]),
            "",
        ]
    )


def _reach(
    inside: Frames,
    certificate: Certificate,
    begin: list[str],
    rows: tuple[list[str], list[str], list[str]],
    bad: Any,
) -> list[str]:
    """The violation in the last of some steps, none before it; for more than one step also from the
    beginning.
    """
    safe, allowed, moves = rows
    last = certificate.steps - 1
    quiet = [f"(not {text_of(inside.at(bad, number))})" for number in range(last)]
    ends = text_of(inside.at(bad, last))
    if last == 0:
        return [safe[0], allowed[0], f"(assert {ends})"]
    starts = begin[0].removeprefix("(assert ").removesuffix(")")
    early = " ".join(text_of(inside.at(bad, number)) for number in range(last + 1))
    return [
        *safe,
        *allowed,
        *moves[:last],
        f"(assert (or (and {starts} (or {early})) (and {' '.join(quiet)} {ends})))",
    ]


class Frames:
    """The symbols of some steps in a row."""

    def __init__(self, model: Model, steps: int) -> None:
        self.model, self.steps = model, steps
        self.pairs: dict[int, list[tuple[Any, Any]]] = {}  # by step: each symbol, and what it is called there

    def state(self, number: int) -> list[Any]:
        """The state before a step."""
        return [_own(symbol, number) for symbol in self.model.state]

    def inputs(self) -> list[Any]:
        """The inputs of every step."""
        return [_own(symbol, number) for number in range(self.steps) for symbol in self.model.inputs]

    def at(self, term: Any, number: int) -> Any:
        """A term of the model, in a step."""
        if number not in self.pairs:
            symbols = [*self.model.state, *self.model.inputs]
            self.pairs[number] = [(symbol, _own(symbol, number)) for symbol in symbols]
        return terms.substitute(term, *self.pairs[number])

    def move(self, number: int) -> Any:
        """That the next state is what the step gives."""
        pairs = zip(self.state(number + 1), self.model.after, strict=True)
        return self.at(terms.And([symbol == term for symbol, term in pairs]), number)


def _own(symbol: Any, number: int) -> Any:
    return terms.Const(f"{symbol}@{number}", symbol.sort())


def _every(states: Sequence[list[Any]]) -> list[Any]:
    return [symbol for state in states for symbol in state]


def _name(symbol: Any) -> str:
    return str(symbol.sexpr())


def parameters(state: Sequence[Any]) -> str:
    """Parts of the state as what a function is given."""
    return " ".join(f"({_name(symbol)} {symbol.sort()})" for symbol in state)


def declared(symbols: Sequence[Any]) -> list[str]:
    """Some symbols made known."""
    return [f"(declare-fun {_name(symbol)} () {symbol.sort()})" for symbol in symbols]


def call(name: str, state: Sequence[Any]) -> str:
    """What a function over the state says of one."""
    return f"({name} {' '.join(_name(symbol) for symbol in state)})"


def ask(assertions: Sequence[str]) -> list[str]:
    """Whether all of this can be so."""
    return ["(push 1)", *assertions, "(check-sat)", "(pop 1)"]
