"""Which outputs of two controllers are equal for ever, and what shows it.

Rule of this file: all of them are tried together, then each for itself; cvc5 checks what is found. An output
whose equality follows from its wording alone is put to cvc5 as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.logic.nodes import Read
from steadfall.prove.compare.compared import SECOND
from steadfall.prove.compare.corresponding import corresponding
from steadfall.prove.compare.side_by_side import PARTED, Pair, any_parted, parted
from steadfall.prove.compare.together import together
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.decide.processes import Hands
from steadfall.prove.engines import recheck, spacer
from steadfall.prove.lemmas.found import NAME as LEMMAS
from steadfall.prove.runs.rig import rig
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.step import Model, model

WORDING, CORRESPONDENCE = "wording", "correspondence"
EACH = 10_000_000  # units at most of the fixed-point engine for one output
CLAIMS = 40_000_000  # and of lemmas about what samples have alike, for all outputs

Shown = Mapping[str, tuple[str, bool]]  # output -> what shows it, whether cvc5 has confirmed it


def by_wording(pair: Pair, own: Hands) -> Shown:
    """The outputs that are written the same, from the inputs on."""
    rows = {row.name: row.node for row in pair.whole.assignments}
    names = [name for name in pair.asked if _same(rows[name + SECOND], name, pair)]
    if not names:
        return {}
    return dict.fromkeys(names, (WORDING, own.one(_never_parted, pair, names)))


def _never_parted(pair: Pair, names: Sequence[str]) -> bool:
    """Whether cvc5 says that no scan parts these outputs."""
    part = _part(pair, names)
    return recheck.holds(script(part, [PARTED], Certificate("true")))


def _same(node: Any, name: str, pair: Pair) -> bool:
    first, second = pair.states.get(name, ((), ()))
    return isinstance(node, Read) and node.name == name and list(first) == list(second)


def by_correspondence(pair: Pair, names: Sequence[str], budget: Budget, own: Hands) -> Shown:
    """The outputs that are equal because like state goes with like state."""
    return _paid(_by_correspondence, pair, names, budget, own) if names else {}


def by_claims(pair: Pair, names: Sequence[str], budget: Budget, own: Hands) -> Shown:
    """The outputs that are equal because most of the state always is, and lemmas bear that out."""
    return _paid(_by_claims, pair, names, budget.part(CLAIMS), own) if names else {}


def by_fixed_point(pair: Pair, name: str, budget: Budget, own: Hands) -> Shown:
    """The output, if the fixed-point engine finds an invariant that keeps it equal."""
    return _paid(_by_fixed_point, pair, name, budget.part(EACH), own)


def _paid(
    job: Callable[[Pair, Any], tuple[Shown, int]], pair: Pair, of: Any, budget: Budget, own: Hands
) -> Shown:
    """What a job finds within a budget."""
    if budget.empty:
        return {}
    found: Shown
    found, spent = own.one(job, pair, (of, budget.left))
    budget.spend(spent)
    return found


def _by_correspondence(pair: Pair, given: tuple[Sequence[str], int]) -> tuple[Shown, int]:
    (names, most), found = given, dict[str, tuple[str, bool]]()
    part, budget = _part(pair, names), Budget(most)
    for states in ({}, pair.states):  # the second also stage by stage
        left = [name for name in names if name not in found]
        if left:
            found |= _together(part, left, corresponding(part, budget, states), budget)
    return found, most - budget.left


def _by_claims(pair: Pair, given: tuple[Sequence[str], int]) -> tuple[Shown, int]:
    (names, most), part = given, _cone(pair, given[0])
    single, budget = model(part, pair.longest_ms, single=True), Budget(most)
    held, goals = together(single, list(map(parted, names)), lambda: rig(pair.usual, part), budget)
    equal = [name for name in names if parted(name) in goals]
    if not equal:
        return {}, most - budget.left
    invariant = Certificate(text_of(single.space.all_of(list(held))))
    again = recheck.holds(script(single, list(map(parted, equal)), invariant))
    return dict.fromkeys(equal, (LEMMAS, again)), most - budget.left


def _by_fixed_point(pair: Pair, given: tuple[str, int]) -> tuple[Shown, int]:
    (name, most) = given
    part, budget = _part(pair, [name]), Budget(most)
    found = spacer.invariant(part, part.values[PARTED], budget)
    if found is None or found is False:
        return {}, most - budget.left
    confirmed = recheck.holds(script(part, [PARTED], Certificate(text_of(found))))
    return {name: (spacer.NAME, confirmed)}, most - budget.left


def _part(pair: Pair, names: Sequence[str]) -> Model:
    return model(_cone(pair, names), pair.longest_ms)


def _cone(pair: Pair, names: Sequence[str]) -> Network:
    return cone(any_parted(pair.whole, names), [PARTED, *map(parted, names)])


def _together(part: Model, names: Sequence[str], pairs: Sequence[Any], budget: Budget) -> Shown:
    """The outputs that cannot part in any state in which this holds."""
    solver = Solver(part.space)
    solver.add(part.ends, part.allowed, *pairs)
    equal = [name for name in names if solver.ask(budget, part.values[parted(name)]) is Answer.NO]
    if not equal:
        return {}
    invariant = part.space.all_of(pairs)
    again = recheck.holds(script(part, list(map(parted, equal)), Certificate(text_of(invariant))))
    return dict.fromkeys(equal, (CORRESPONDENCE, again))
