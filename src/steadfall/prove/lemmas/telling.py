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


class Telling:
    """Looks at scans that a solver has answered with. `after`: the symbols of where a scan ends."""

    def __init__(self, joint: Joint, after: Sequence[Any], solver: Solver) -> None:
        self.joint, self.after, self.solver = joint, after, solver
        self._said: dict[tuple[bool, int, int], Any] = {}

    def scan(self, parts: Bits) -> Against:
        """The scan of the last answer."""
        where, given, after = list(places(parts)), self.joint.model.inputs, self.after
        wanted = [*(self.joint.pre[place] for place in where), *(after[place] for place in where), *given]
        values, many = self.solver.values(wanted), len(where)
        begin, end = [UNTOUCHED] * len(after), [UNTOUCHED] * len(after)
        for at, place in enumerate(where):
            begin[place], end[place] = values[at], values[many + at]
        return Against(parts, begin, end, values[2 * many :])

    def parts(self, scan: Against, kept: Any, budget: Budget) -> Bits:
        """The parts of its beginning that suffice; all where that is not known. `kept`: what the scan speaks
        against, as a term over its inputs, beginning and end.
        """
        where = list(places(scan.parts))
        begin = [self._is(False, place, scan.begin[place]) for place in where]
        given = (self._is(True, place, value) for place, value in enumerate(scan.inputs))
        asked = (*begin, kept, *given)
        if self.solver.ask(budget, *asked) is not Answer.NO:
            return scan.parts
        return sum(1 << where[at] for at in self.solver.clash(asked) if at < len(where))

    def _is(self, given: bool, place: int, value: int) -> Any:
        """That an input, or a part of the beginning, has a value."""
        key = given, place, value
        if key not in self._said:
            symbol = self.joint.model.inputs[place] if given else self.joint.pre[place]
            if terms.is_bool(symbol):
                self._said[key] = symbol if value else terms.Not(symbol)
            else:
                self._said[key] = symbol == self.joint.model.space.value(value)
        return self._said[key]
