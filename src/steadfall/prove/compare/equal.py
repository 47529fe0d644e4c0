"""Which outputs of two controllers are equal for ever, and what shows it.

Rule of this file: all of them are tried together, then each for itself; cvc5 checks what is found. An output
whose equality follows from its wording alone is put to cvc5 as well.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any

import z3

from steadfall.logic.nodes import Read
from steadfall.prove.compare.compared import SECOND
from steadfall.prove.compare.corresponding import corresponding
from steadfall.prove.compare.side_by_side import PARTED, Pair, any_parted, parted
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.engines import recheck, spacer
from steadfall.prove.system.cone import cone
from steadfall.prove.system.step import Model, model

WORDING, CORRESPONDENCE = "wording", "correspondence"
EACH = 5.0  # s at most of the fixed-point engine for one output

Shown = Mapping[str, tuple[str, bool]]  # output -> what shows it, whether cvc5 has confirmed it


def by_wording(pair: Pair) -> Shown:
    """The outputs that are written the same, from the inputs on."""
    rows = {row.name: row.node for row in pair.whole.assignments}
    names = [name for name in pair.asked if _same(rows[name + SECOND], name, pair)]
    if not names:
        return {}
    part = _part(pair, names)
    again = recheck.holds(script(part, part.values[PARTED], Certificate("true")))
    return dict.fromkeys(names, (WORDING, again))


def _same(node: Any, name: str, pair: Pair) -> bool:
    first, second = pair.states.get(name, ((), ()))
    return isinstance(node, Read) and node.name == name and list(first) == list(second)


def by_correspondence(pair: Pair, names: Sequence[str], until: float) -> Shown:
    """The outputs that are equal because like state goes with like state."""
    found: dict[str, tuple[str, bool]] = {}
    if not names:
        return found
    part = _part(pair, names)
    for states in ({}, pair.states):  # the second also stage by stage
        left = [name for name in names if name not in found]
        if left:
            found |= _together(part, left, corresponding(part, until, states))
    return found


def by_fixed_point(pair: Pair, names: Sequence[str], until: float) -> Shown:
    """The outputs for which the fixed-point engine finds an invariant, each for itself."""
    found: dict[str, tuple[str, bool]] = {}
    for name in names:
        left = min(EACH, until - time.monotonic())
        kept = _fixed_point(pair, name, left) if left > 0 else None
        if kept is not None:
            found[name] = spacer.NAME, kept
    return found


def _part(pair: Pair, names: Sequence[str]) -> Model:
    return model(cone(any_parted(pair.whole, names), [PARTED, *map(parted, names)]), pair.longest_ms)


def _together(part: Model, names: Sequence[str], pairs: Sequence[Any]) -> Shown:
    """The outputs that cannot part in any state in which this holds."""
    solver = z3.SolverFor("QF_LIA")
    solver.add(part.ends, part.allowed, *pairs)
    equal = [name for name in names if solver.check(part.values[parted(name)]) == z3.unsat]
    if not equal:
        return {}
    goal = z3.Or([part.values[parted(name)] for name in equal])
    invariant = z3.And(pairs) if pairs else z3.BoolVal(True)
    again = recheck.holds(script(part, goal, Certificate(text_of(invariant))))
    return dict.fromkeys(equal, (CORRESPONDENCE, again))


def _fixed_point(pair: Pair, name: str, seconds: float) -> bool | None:
    """Whether cvc5 confirms the invariant that excludes a parting; None where none is found."""
    part = _part(pair, [name])
    found = spacer.invariant(part, part.values[PARTED], seconds)
    if found is None or found is False:
        return None
    return recheck.holds(script(part, part.values[PARTED], Certificate(text_of(found))))
