"""Which parts of a state tell why a scan from it speaks against something.

Rule of this file: with the same inputs, a state that is the same in these parts speaks against it too. So a
lemma about them says most; where there is none, one about the other parts has to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.lemmas.joint import Bits, Joint, places
from steadfall.prove.lemmas.lemma import State
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.solver.space import Space

UNTOUCHED = -(1 << 62)  # of a part that a question is not about


@frozen
class Against:
    """A scan that speaks against something: where it begins and ends, as far as some parts go, and the
    inputs of the step.
    """

    parts: Bits
    begin: State
    end: State
    inputs: Sequence[int]


def against(joint: Joint, after: Sequence[Any], solver: Solver, parts: Bits) -> Against:
    """The scan of the last answer. `after`: the symbols of where it ends."""
    where, given = list(places(parts)), joint.model.inputs
    wanted = [*(joint.pre[place] for place in where), *(after[place] for place in where), *given]
    values, many = solver.values(wanted), len(where)
    begin, end = [UNTOUCHED] * len(after), [UNTOUCHED] * len(after)
    for at, place in enumerate(where):
        begin[place], end[place] = values[at], values[many + at]
    return Against(parts, begin, end, values[2 * many :])


def telling(joint: Joint, solver: Solver, scan: Against, kept: Any, budget: Budget) -> Bits:
    """The parts of its beginning that suffice; all where that is not known. `kept`: what the scan speaks
    against, as a term over its inputs, beginning and end.
    """
    space, where = joint.model.space, list(places(scan.parts))
    begin = [_is(joint.pre[place], scan.begin[place], space) for place in where]
    given = (_is(*pair, space) for pair in zip(joint.model.inputs, scan.inputs, strict=True))
    asked = (*begin, kept, *given)
    if solver.ask(budget, *asked) is not Answer.NO:
        return scan.parts
    return sum(1 << where[at] for at in solver.clash(asked) if at < len(where))


def _is(symbol: Any, value: int, space: Space) -> Any:
    if terms.is_bool(symbol):
        return symbol if value else terms.Not(symbol)
    return symbol == space.value(value)
