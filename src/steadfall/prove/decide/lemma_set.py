"""One certificate for the requirements of a circuit: lemmas that every scan keeps, and for each requirement
those of them that exclude its violation.

Rule of this file: the text says it all, over the system of single scans as the plan gives it. The lemmas hold
before the first scan; a scan keeps them, all together; for each requirement its own exclude the violation.As
in `prove.decide.certificate`, a lemma is read as one term over the state before it is written into a
question.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from attrs import frozen

from steadfall.prove.decide.certificate import Frames, ask, call, declared, parameters, sorts, text_of
from steadfall.prove.engines import recheck
from steadfall.prove.solver.term_text import NotATermError, one_term
from steadfall.prove.system.kept import Part
from steadfall.prove.system.step import Model
from steadfall.prove.system.written import Text, can_write


@frozen
class LemmaSet:
    """Lemmas as text over the state before a scan, the signals that they leave free, and which requirements
    they are about.
    """

    name: str  # of the circuit
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


_SYMBOL = re.compile(r"\|[^|]*\||[a-z_]+")
Goals = Mapping[str, Sequence[int]]  # signal that must never be true -> places of its lemmas


class Questions:
    """What may be asked of a set, over the model as it is now; raises NotATermError.

    Each lemma `lemmaN` has its value before and after a scan as `lemmaN@0` and `lemmaN@1`, so have the `ends`
    of the state.
    """

    def __init__(self, model: Model, kept: LemmaSet) -> None:
        self.model, self._inside = model, Frames(model, 1)
        known = sorts(model)
        self.texts = {f"lemma{at}": _read(at, lemma, known) for at, lemma in enumerate(kept.lemmas)}
        self.allowed = f"(assert {text_of(self._inside.at(model.allowed, 0))})"
        self.move = f"(assert {text_of(self._inside.move(0))})"
        self.begin = f"(assert {text_of(self._inside.at(model.begins(), 0))})"

    def head(self) -> list[str]:
        """What all questions begin with."""
        states = self._inside.state(0), self._inside.state(1)
        lines = ["(set-logic QF_LIA)", *declared([*states[0], *states[1], *self._inside.inputs()])]
        places = {symbol.sexpr(): place for place, symbol in enumerate(self.model.state)}
        for name, text in {"ends": text_of(self.model.ends), **self.texts}.items():
            used = sorted(places[word] for word in set(_SYMBOL.findall(text)) if word in places)
            given = parameters([self.model.state[place] for place in used])
            lines.append(f"(define-fun {name} ({given}) Bool {text})")
            for at, state in enumerate(states):
                said = call(name, [state[place] for place in used]) if used else name
                lines.append(f"(define-fun {name}@{at} () Bool {said})")
        return lines

    def all(self, at: int, which: Sequence[int] | None = None) -> str:
        """That some lemmas, or all, and the ends hold before a scan (0) or after it (1)."""
        names = self.texts if which is None else [f"lemma{place}" for place in which]
        return f"(and ends@{at} {' '.join(f'{name}@{at}' for name in names)})"

    def bad(self, goal: str) -> str:
        """That a goal is reached in the scan."""
        return f"(assert {text_of(self._inside.at(self.model.values[goal], 0))})"


def script(model: Model, kept: LemmaSet, goals: Goals) -> str:
    """The questions for a set, from the model as it is now; raises NotATermError."""
    it = Questions(model, kept)
    lines = [
        *it.head(),
        "; 1. they hold before the first scan",
        *ask([it.begin, f"(assert (not {it.all(0)}))"]),
        "; 2. a scan keeps them",
        *ask([f"(assert {it.all(0)})", it.allowed, it.move, f"(assert (not {it.all(1)}))"]),
        "; 3. those of a requirement exclude its violation, for each",
    ]
    for goal, which in goals.items():
        lines += ask([f"(assert {it.all(0, which)})", it.allowed, it.bad(goal)])
    return "\n".join([*lines, ""])


def script_of_steps(model: Model, kept: LemmaSet, goals: Goals) -> str:
    """For each goal whether its own lemmas, with no others, are kept by the steps of a model."""
    it = Questions(model, kept)
    lines = it.head()
    for which in goals.values():
        before, after = f"(assert {it.all(0, which)})", f"(assert (not {it.all(1, which)}))"
        lines += ask([before, it.allowed, it.move, after])
    return "\n".join([*lines, ""])


def apart(model: Model, kept: LemmaSet, goals: Goals) -> str | None:
    """The same questions written from the network itself, without the formula that the prover asked of; None
    where they cannot be: with power cuts, or where a network computes with measured values.
    """
    if not model.plain or not can_write(model.network):
        return None
    endless = {slot.name for slot in model.slots if slot.part is Part.AGE and math.isinf(slot.high)}
    text = Text(model.network, model.longest_ms, endless)
    parts = {"ends": text_of(model.ends), **Questions(model, kept).texts}
    own = {goal: ["ends", *(f"lemma{place}" for place in which)] for goal, which in goals.items()}
    return text.script(parts, own)


def confirmed(model: Model, kept: LemmaSet, goals: Goals) -> frozenset[str]:
    """The goals that cvc5 says are excluded, from the model as it is now; raises NotATermError."""
    said = recheck.answers(apart(model, kept, goals) or script(model, kept, goals))
    return _unsat(goals, said[2:]) if said[:2] == ["unsat", "unsat"] else frozenset()


def kept_by(model: Model, kept: LemmaSet, goals: Goals) -> frozenset[str]:
    """The goals whose own lemmas are kept by the steps of a model, as cvc5 says; raises NotATermError."""
    return _unsat(goals, recheck.answers(script_of_steps(model, kept, goals)))


def _unsat(goals: Goals, said: Sequence[str]) -> frozenset[str]:
    return frozenset(goal for goal, word in zip(goals, said, strict=True) if word == "unsat")


def _read(place: int, lemma: str, known: Mapping[str, str]) -> str:
    try:
        return one_term(lemma, known)
    except NotATermError as wrong:
        raise NotATermError(wrong.place, wrong.wrong, f"lemmas[{place}]: ") from None
