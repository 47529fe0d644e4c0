"""Stated requirements that contradict each other: no controller can keep both.

Rule of this file: valves, stages, trips and all else that the controller makes are set free, as the inputs
are, so that what cannot be done here no controller does. Two requirements contradict each other when one of
them can apply while the other is kept, and could by itself be kept to the end, but not
without breaking one of the two. Only pairs of which this plan breaks one are asked about, since a run of the
plan that keeps both shows that they agree.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import attrs
from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.logic.forms import all_of, any_of, opposite
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Previous, Read, Type
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import REFUTED, Contradiction, Verdict
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.solver.budget import Budget
from steadfall.roles import observer

BROKEN, MET = "pair:broken", "pair:met"
DEPTH, EFFORT = 12, 10_000_000  # steps of the search for a way to keep both; units of work of each engine


@frozen
class _Wish:
    """A signal that is to come true before any of some requirements is broken."""

    signal: str
    unbroken: tuple[Required, ...]


def contradictions(
    of: Watched, verdicts: Sequence[Verdict], ask: Ask, own: Hands
) -> tuple[Contradiction, ...]:
    """The pairs of stated requirements that no controller can keep, of which the plan breaks at least one."""
    stated = [row for row in verdicts if row.required.stated]
    if not any(row.verdict == REFUTED for row in stated):
        return ()
    found: tuple[Contradiction, ...] = own.one(_found, of, (stated, ask))
    return found


def _found(of: Watched, given: tuple[Sequence[Verdict], Ask]) -> tuple[Contradiction, ...]:
    verdicts, ask = given
    rows = {row.required.name: row for row in verdicts}
    found: dict[frozenset[str], Contradiction] = {}
    alone = {
        name
        for name, row in rows.items()
        if row.verdict == REFUTED and _impossible(of, _own(row.required), ask)
    }
    for name in sorted(alone):
        found[frozenset({name})] = Contradiction((rows[name].required,), rows[name].required.occasion, name)
    for one, two in permutations(rows, 2):
        broken = next((name for name in (one, two) if rows[name].verdict == REFUTED), None)
        pair = frozenset({one, two})
        if (
            broken is None
            or pair in found
            or pair & alone
            or not _meet(of, rows[one].required, rows[two].required)
        ):
            continue
        both = (rows[one].required, rows[two].required)
        if _contradict(of, both, ask):
            ordered = tuple(row.required for row in verdicts if row.required.name in pair)
            found[pair] = Contradiction(ordered, both[0].occasion, broken)
    return tuple(found.values())


def _own(row: Required) -> _Wish:
    return _Wish(row.met, (row,))


def _contradict(of: Watched, both: tuple[Required, Required], ask: Ask) -> bool:
    """Whether the first applies while the second is kept, and can only be kept without it."""
    if not _impossible(of, _Wish(both[0].met, both), ask):
        return False
    wishes = (_own(both[0]), _Wish(both[0].exercised, both[1:]))
    return not any(_impossible(of, wish, ask) for wish in wishes)


def _meet(of: Watched, one: Required, two: Required) -> bool:
    """Whether two requirements speak of a signal in common; else each can be kept without regard to the
    other.
    """
    return bool(_speaks_of(of, one) & _speaks_of(of, two))


def _speaks_of(of: Watched, row: Required) -> frozenset[str]:
    part = cone(of.network, [row.bad, row.met], lambda name: name in of.controller)
    return frozenset(one.name for one in part.inputs)


def _impossible(of: Watched, wish: _Wish, ask: Ask) -> bool:
    """Whether a wish comes true in no run at all."""
    part = of.model(_anything(of, wish))
    goal, most = part.values[MET], min(EFFORT, ask.effort)
    if bounded.search(part, goal, DEPTH, Budget(most))[0] is not None:
        return False
    found = spacer.invariant(part, goal, Budget(most))
    if found is None or isinstance(found, bool):
        return False
    return not ask.recheck or recheck.holds(script(part, [MET], Certificate(text_of(found))))


def _anything(of: Watched, wish: _Wish) -> Network:
    """The observers over a controller that may do anything, and whether a wish comes true in time."""
    roots = [wish.signal, *(row.bad for row in wish.unbroken)]
    part = cone(of.network, roots, lambda name: name in of.controller)
    broken = any_of([Previous(BROKEN, Type.BOOL), *(Read(row.bad, Type.BOOL) for row in wish.unbroken)])
    met = all_of((Read(wish.signal, Type.BOOL), opposite(Read(BROKEN, Type.BOOL))))
    rows = (
        *part.assignments,
        Assignment(BROKEN, Type.BOOL, broken, False, identity=observer(BROKEN).identity),
        Assignment(MET, Type.BOOL, met, False, identity=observer(MET).identity),
    )
    return attrs.evolve(part, assignments=rows)
