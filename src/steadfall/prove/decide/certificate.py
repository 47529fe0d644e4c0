"""A proof as text that any solver can check: the invariant and three questions whose answer must be "unsat".

Rule of this file: the invariant holds before the first scan; a step keeps it; it excludes the violation.
Whoever checks needs the text and nothing of the engine. An invariant is read as one term over the state
before it is written into the text: it may come from a file that anybody has changed. The rest of the text is
written from the network (`prove.checker`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.checker.questions import of_one
from steadfall.prove.checker.scan import Asked, Power
from steadfall.prove.solver.term_text import one_term
from steadfall.prove.system.kept import Part
from steadfall.prove.system.step import Frame


@frozen
class Certificate:
    """What excludes a violation: the invariant as text over the state, and which signals it leaves free."""

    invariant: str
    freed: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {"invariant": self.invariant, "freed": list(self.freed)}


def text_of(term: Any) -> str:
    """A term as SMT-LIB text on one line."""
    return " ".join(str(term.sexpr()).split())


def sorts(model: Frame) -> dict[str, str]:
    """What an invariant may speak of: the parts of the state, and the sort of each."""
    return {str(symbol): str(symbol.sort()) for symbol in model.state}


def asked(model: Frame, *, cut: bool = False) -> Asked:
    """What the checker is asked about; `cut`: power cuts are the only steps."""
    ages = (slot for slot in model.slots if slot.part is Part.AGE)
    power = Power.FAILS if cut else Power.MAY_FAIL if model.cut else Power.STAYS
    endless = frozenset(slot.name for slot in ages if math.isinf(slot.high))
    return Asked(model.network, model.longest_ms, endless, power)


def script(model: Frame, goals: Sequence[str], certificate: Certificate, *, cut: bool = False) -> str:
    """The three questions for a stored invariant, from the network as it is now; raises NotATermError.

    `goals`: the signals of which none must ever be true; `cut`: whether the power cuts alone keep it.
    """
    invariant = one_term(certificate.invariant, sorts(model))
    claim = f"(and {invariant} {text_of(model.ends)})"
    return of_one(asked(model, cut=cut), claim, goals)
