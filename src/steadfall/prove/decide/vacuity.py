"""Parts of stated requirements that are vacuous: a condition that the controller never lets be, or never lets
end.

Rule of this file: what is seen in a run is not asked; the rest is proved or no note is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set

from attrs import evolve

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.portfolio import settle
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import PROVED, Verdict
from steadfall.prove.requirements.watch import Required, Term
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget

SEEDS, EFFORT = 12, 8_000_000  # of runs; units of the solver's work, for each part


def with_notes(of: Watched, verdicts: Sequence[Verdict], ask: Ask, own: Hands) -> tuple[Verdict, ...]:
    """The verdicts, with a note where a part of a proved requirement is vacuous."""
    terms = [term for row in verdicts if row.verdict == PROVED for term in row.required.terms]
    unseen = own.one(_unseen, of, terms) if terms else frozenset()
    asked = [
        (row.required, term, ask)
        for row in verdicts
        for term in row.required.terms
        if row.verdict == PROVED and term.signal in unseen
    ]
    never = {signal for signal, never in own.each(_never, of, asked) if never}
    return tuple(evolve(row, notes=(*row.notes, *_notes(row, never))) for row in verdicts)


def _unseen(of: Watched, terms: Sequence[Term]) -> frozenset[str]:
    left = [term.signal for term in terms]
    one = rig(of.plan, cone(of.network, left))
    for seed in range(SEEDS):
        found = one.fast.first(stimuli(one, seed), left)
        left = [name for name, scan in zip(left, found, strict=True) if scan < 0]
        if not left:
            break
    return frozenset(left)


def _never(of: Watched, given: tuple[Required, Term, Ask]) -> tuple[str, bool]:
    """Whether the signal of a part is never true."""
    required, term, ask = given
    budget = Budget(min(EFFORT, ask.effort))
    return term.signal, isinstance(settle(of, required, term.signal, ask, budget), tuple)


def _notes(row: Verdict, never: Set[str]) -> Iterable[str]:
    return (term.why for term in row.required.terms if row.verdict == PROVED and term.signal in never)
