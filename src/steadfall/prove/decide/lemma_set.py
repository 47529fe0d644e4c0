"""One certificate for the requirements of a circuit: lemmas that every scan keeps, and for each requirement
those of them that exclude its violation.

Rule of this file: the text says it all, over the system of single scans as the plan gives it. The lemmas hold
before the first scan; a scan keeps them, all together; for each requirement its own exclude the violation. As
in `prove.decide.certificate`, a lemma is read as one term over the state before it is written into a
question.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from attrs import frozen

from steadfall.prove.checker.questions import at_once, each_kept, of_parts
from steadfall.prove.decide.certificate import asked, sorts, text_of
from steadfall.prove.engines import recheck
from steadfall.prove.solver.term_text import NotATermError, one_term
from steadfall.prove.system.step import Frame


@frozen
class LemmaSet:
    """Lemmas as text over the state before a scan, the signals that they leave free, and which requirements
    they are about.
    """

    name: str  # of the circuit, or of the one requirement
    freed: tuple[str, ...]
    about: tuple[str, ...]
    lemmas: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """In stable names."""
        return {
            "name": self.name,
            "freed": list(self.freed),
            "about": list(self.about),
            "lemmas": list(self.lemmas),
        }


@frozen
class ByLemmas:
    """What excludes a violation: some lemmas of a set, by their places; a scan keeps these by themselves."""

    of: LemmaSet
    which: tuple[int, ...]

    @property
    def freed(self) -> tuple[str, ...]:
        """Which signals may do anything."""
        return self.of.freed

    @property
    def invariant(self) -> str:
        """Its own lemmas as one term."""
        return f"(and true {' '.join(self.of.lemmas[place] for place in self.which)})"

    def as_json(self) -> dict[str, object]:
        """In stable names."""
        return {"lemmas": self.of.name, "which": list(self.which)}


IN_ALL = 2  # questions about all goals at once
Goals = Mapping[str, Sequence[int]]  # signal that must never be true -> places of its lemmas


def script(model: Frame, kept: LemmaSet, goals: Goals) -> str:
    """The questions for a set, from the network as it is now; raises NotATermError."""
    return of_parts(asked(model), _parts(model, kept), _own(goals))


def _own(goals: Goals) -> dict[str, list[str]]:
    return {goal: ["ends", *map(_name, which)] for goal, which in goals.items()}


def _parts(model: Frame, kept: LemmaSet) -> dict[str, str]:
    known = sorts(model)
    lemmas = {_name(at): _read(at, lemma, known) for at, lemma in enumerate(kept.lemmas)}
    return {"ends": text_of(model.ends), **lemmas}


def _name(place: int) -> str:
    return f"lemma{place}"


def confirmed(model: Frame, kept: LemmaSet, goals: Goals) -> frozenset[str]:
    """The goals that cvc5 says are excluded, from the network as it is now; raises NotATermError.

    All at once, and each by itself only where not all are.
    """
    if all_confirmed(model, kept, goals):
        return frozenset(goals)
    said = recheck.answers(script(model, kept, goals))
    return _unsat(goals, said[2:]) if said[:2] == ["unsat", "unsat"] else frozenset()


def all_confirmed(model: Frame, kept: LemmaSet, goals: Goals) -> bool:
    """Whether cvc5 says that all goals are excluded; raises NotATermError."""
    return recheck.holds(at_once(asked(model), _parts(model, kept), _own(goals)), IN_ALL)


def kept_by_cuts(model: Frame, kept: LemmaSet, goals: Goals) -> frozenset[str]:
    """The goals whose own lemmas, with no others, a power cut keeps, as cvc5 says; raises NotATermError."""
    sets = [["ends", *map(_name, which)] for which in goals.values()]
    return _unsat(goals, recheck.answers(each_kept(asked(model, cut=True), _parts(model, kept), sets)))


def _unsat(goals: Goals, said: Sequence[str]) -> frozenset[str]:
    return frozenset(goal for goal, word in zip(goals, said, strict=True) if word == "unsat")


def _read(place: int, lemma: str, known: Mapping[str, str]) -> str:
    try:
        return one_term(lemma, known)
    except NotATermError as wrong:
        raise NotATermError(wrong.place, wrong.wrong, f"lemmas[{place}]: ") from None
