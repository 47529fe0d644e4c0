"""The questions about a proof as text: SMT-LIB 2.6, each to be answered with "unsat".

Rule of this file: a claim is text over the state before a scan, read before as one term. That a state is
settled is nothing that a controller keeps: a claim that speaks of it counts where it holds with either.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from steadfall.prove.checker.scan import Asked, Step
from steadfall.prove.system.kept import SETTLED

Parts = Mapping[str, str]  # claims by name
Goals = Mapping[str, Sequence[str]]  # what must not be reached -> the names of its own claims


def of_parts(of: Asked, parts: Parts, goals: Goals) -> str:
    """The parts hold before the first scan; a step keeps them, all together; for each goal, its own exclude
    it.
    """
    step = Step(of)
    reached = [_both(*own, step.reached([goal])) for goal, own in goals.items()]
    kept = _both(*parts, _not(_call("all", step.after)))
    return _text(of, _about(of, step, parts), [_not(_call("all", of.begin)), kept, *reached])


def at_once(of: Asked, parts: Parts, goals: Goals) -> str:
    """The same in two questions, which is quicker where the answer is the same to all: what a step may break
    or reach is one of them, and what each goal has among its own stands before it.
    """
    step = Step(of)
    shared = [name for name in parts if all(name in own for own in goals.values())]
    apart = dict.fromkeys(shared)
    ways = [
        _both(*(name for name in parts if name not in apart), _not(_call("all", step.after))),
        *(
            _both(*(name for name in own if name not in apart), step.reached([goal]))
            for goal, own in goals.items()
        ),
    ]
    asked = _both(*shared, f"(or {' '.join(ways)})")
    return _text(of, _about(of, step, parts), [_not(_call("all", of.begin)), asked])


def _about(of: Asked, step: Step, parts: Parts) -> list[str]:
    return [*step.lines, *_named(parts), _function(of, "all", _both(*parts.values()))]


def each_kept(of: Asked, parts: Mapping[str, str], sets: Sequence[Sequence[str]]) -> str:
    """Whether a step keeps each of some sets of parts by itself."""
    step = Step(of)
    own = [_function(of, f"own{at}", _both(*map(parts.__getitem__, one))) for at, one in enumerate(sets)]
    asked = [_both(*one, _not(_call(f"own{at}", step.after))) for at, one in enumerate(sets)]
    return _text(of, [*step.lines, *_named(parts), *own], asked)


def of_one(of: Asked, claim: str, goals: Sequence[str]) -> str:
    """A claim holds before the first scan; a step keeps it; it excludes that any of the goals is reached."""
    step = Step(of)
    asked = [
        _not(_call("holds", of.begin)),
        _both(_call("holds", step.before), _not(_call("holds", step.after))),
        _both(_call("holds", step.before), step.reached(goals)),
    ]
    return _text(of, [*_holds(of, claim), *step.lines], asked)


def _holds(of: Asked, claim: str) -> list[str]:
    state = [f"|{key}|" for key in of.state]
    either = (_call("inside", [*state, settled]) for settled in ("false", "true"))
    return [
        f"(define-fun inside ({of.parameters} ({SETTLED} Bool)) Bool {claim})",
        _function(of, "holds", f"(or {' '.join(either)})"),
    ]


def _function(of: Asked, name: str, term: str) -> str:
    return f"(define-fun {name} ({of.parameters}) Bool {term})"


def _call(name: str, state: Sequence[str]) -> str:
    return f"({name} {' '.join(state)})"


def _both(*parts: str) -> str:
    return f"(and true {' '.join(parts)})"


def _not(part: str) -> str:
    return f"(not {part})"


def _named(parts: Mapping[str, str]) -> list[str]:
    return [f"(define-fun {name} () Bool {text})" for name, text in parts.items()]


def _text(of: Asked, lines: Sequence[str], asked: Sequence[str]) -> str:
    return "\n".join(
        [
            "(set-logic QF_LIRA)",
            *(f"(declare-const |{key}| {one.sort})" for key, one in of.state.items()),
            *lines,
            *(f"(push 1) (assert {one}) (check-sat) (pop 1)" for one in asked),
            "",
        ]
    )
