"""What an earlier run of the program found: lemmas of a circuit, also of one with other numbers; certificates
of single requirements.

Rule of this file: nothing that is read is believed. An answer counts where all that it hangs on is the same
(the question in its own names, how hard it was tried, the version) and cvc5 confirms it now; else it is as if
there were none. Lemmas for other numbers are hints to those that look anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import asdict, evolve, frozen

from steadfall.logic.network import Network
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.before.cache import MEMORY, Answer
from steadfall.prove.decide.before.version import searchers
from steadfall.prove.decide.certificate import Certificate, text_of
from steadfall.prove.decide.lemma_set import LemmaSet, all_confirmed
from steadfall.prove.lemmas.carry import Made, as_terms, carried, made
from steadfall.prove.lemmas.hints import Said, moved
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.rig import rig
from steadfall.prove.solver.term_text import NotATermError
from steadfall.prove.system.canonical import Question
from steadfall.prove.system.step import Frame
from steadfall.prove.system.worded import Number, worded
from steadfall.store import Store

SPOILT = (KeyError, TypeError, ValueError, AttributeError, OverflowError)  # of what anybody may have written
Which = Mapping[str, tuple[int, ...]]
Carried = tuple[LemmaSet, Which, Sequence[Said], Made]


@frozen(eq=False)
class Remembered:
    """Where lemmas of some requirements are kept: under all that they hang on, and without the numbers."""

    store: Store
    about: tuple[object, ...]
    numbers: tuple[Number, ...]
    how: tuple[object, ...]  # it was searched: on which runs, how hard

    def recall(self, part: Frame, blank: LemmaSet, goals: Sequence[str]) -> tuple[LemmaSet, Which] | None:
        """The lemmas of the same question, where cvc5 confirms that they exclude every goal."""
        found = self.store.get(self.about, self.numbers, self.how)
        try:
            kept = evolve(blank, lemmas=tuple(map(str, found["lemmas"])))
            return _confirmed(part, kept, goals, found["which"])
        except (*SPOILT, NotATermError):
            return None

    def carry(self, part: Frame, blank: LemmaSet, goals: Sequence[str]) -> Carried | None:
        """The lemmas of other numbers with the bounds that these give, where cvc5 confirms that they exclude
        every goal.
        """
        found = self.store.get(self.about)
        try:
            if tuple(found["numbers"]) == self.numbers:  # else is different: it was searched otherwise
                return None
            before = _made(found["made"])
            now = made(part, before.same)
            said = carried([_said(row) for row in found["said"]], before, now)
            texts = tuple(map(text_of, as_terms(part, now.same, said)))
            again = _confirmed(part, evolve(blank, lemmas=texts), goals, found["which"])
            return (*again, said, now) if again else None
        except (*SPOILT, NotATermError):
            return None

    def hints(self) -> list[Said]:
        """What was found for other numbers, and the same moved as they were."""
        found = self.store.get(self.about)
        try:
            rows = [_said(row) for row in found["said"]]
            return moved(rows, [float(number) for number in found["numbers"]], self.numbers)
        except SPOILT:
            return []

    def keep(self, kept: LemmaSet, which: Which, said: Sequence[Said], now: Made) -> None:
        """Keeps what was found and confirmed."""
        rows = list(which.values())
        self.store.put({"lemmas": kept.lemmas, "which": rows}, self.about, self.numbers, self.how)
        known = {"numbers": self.numbers, "said": list(map(asdict, said)), "which": rows, "made": asdict(now)}
        self.store.put(known, self.about)


def _confirmed(
    part: Frame, kept: LemmaSet, goals: Sequence[str], which: Any
) -> tuple[LemmaSet, Which] | None:
    """Lemmas with what each goal rests on, where cvc5 confirms all of it."""
    rows = [tuple(int(place) for place in row) for row in which]
    own = dict(zip(goals, rows, strict=True))
    if not all(0 <= place < len(kept.lemmas) for row in rows for place in row):
        return None
    return (kept, own) if all_confirmed(part, kept, own) else None


def _said(row: Any) -> Said:
    facts = tuple((str(key), int(value)) for key, value in row["facts"])
    return Said(facts, str(row["left"]), str(row["right"]), int(row["most"]))


def _made(row: Any) -> Made:
    same = {str(key): str(to) for key, to in row["same"].items()}
    times = {str(key): [int(time) for time in found] for key, found in row["times"].items()}
    return Made(same, times, int(row["longest_ms"]))


def remembered(of: Watched, part: Network, rows: Sequence[Required], ask: Ask) -> Remembered | None:
    """Where the lemmas of some requirements are kept; None where none are to be."""
    if ask.store is None or not ask.recheck:
        return None
    said, bads = worded(part), [row.bad for row in rows]
    about = ("lemmas", searchers(), said.shape, bads, of.faults.power_cut)
    numbers = (*said.numbers, of.plan.scan.longest_ms)
    return Remembered(ask.store, about, numbers, (rig(of.plan, part).habits, ask.effort))


def recalled(question: Question, ask: Ask) -> Answer | None:
    """A certificate that was found for the same question by the same engines, where cvc5 confirms it."""
    if ask.store is None:
        return None
    found = ask.store.get(*_of(question, ask))
    try:
        engine, certificate = str(found["engine"]), Certificate(str(found["invariant"]))
        good = engine in ask.engines and MEMORY.confirmed(question, certificate)
    except (*SPOILT, NotATermError):
        return None
    return Answer(engine, certificate) if good else None


def keep(question: Question, ask: Ask, answer: Answer) -> None:
    """Keeps a certificate that was found."""
    kept = answer.certificate
    if ask.store is not None and kept is not None:
        ask.store.put({"engine": answer.engine, "invariant": kept.invariant}, *_of(question, ask))


def _of(question: Question, ask: Ask) -> tuple[object, ...]:
    said = worded(question.network)
    about = (question.goal, question.longest_ms, question.power_cut, sorted(ask.engines), ask.effort)
    return ("answer", searchers(), said.shape, said.numbers, *about)
