"""Parts of stated requirements that say nothing: a condition that the controller never lets be, or never lets
end.

Rule of this file: what is seen in a run is not asked; the rest is proved or nothing is said of it.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence

from attrs import evolve

from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.portfolio import exclude
from steadfall.prove.decide.result import PROVED, Verdict
from steadfall.prove.requirements.watch import Term
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli

SEEDS, SECONDS = 12, 4.0  # of runs; of the solver, for each part


def with_notes(of: Watched, verdicts: Sequence[Verdict], ask: Ask) -> tuple[Verdict, ...]:
    """The verdicts, with a note where a part of a proved requirement says nothing."""
    terms = [term for row in verdicts if row.verdict == PROVED for term in row.required.terms]
    unseen = _unseen(of, terms)
    return tuple(evolve(row, notes=(*row.notes, *_notes(of, row, unseen, ask))) for row in verdicts)


def _unseen(of: Watched, terms: Sequence[Term]) -> frozenset[str]:
    left = [term.signal for term in terms]
    if not left:
        return frozenset()
    one = rig(of.plan, of.network)
    for seed in range(SEEDS):
        found = one.fast.first(stimuli(one, seed), left)
        left = [name for name, scan in zip(left, found, strict=True) if scan < 0]
        if not left:
            break
    return frozenset(left)


def _notes(of: Watched, row: Verdict, unseen: frozenset[str], ask: Ask) -> Iterable[str]:
    for term in row.required.terms:
        if row.verdict == PROVED and term.signal in unseen:
            until = time.monotonic() + min(SECONDS, ask.seconds)
            if isinstance(exclude(of, row.required, term.signal, ask, until), tuple):
                yield term.why
