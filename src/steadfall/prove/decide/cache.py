"""What has been found out about questions, so that each is asked once in a process.

Rule of this file: an answer is found again by the whole question (`prove.system.canonical`), never by a part
of it. What cvc5 has said of a certificate counts for the same certificate of the same question, for nothing
else.
"""

from __future__ import annotations

from collections.abc import Hashable
from functools import lru_cache
from typing import Any

from attrs import field, frozen

from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.engines import recheck
from steadfall.prove.system.canonical import Question
from steadfall.prove.system.step import Model, model

MOST = 4096  # answers that are kept
ENOUGH = 0.9  # of the seconds that are left now; what failed in as long is not tried again


@lru_cache(maxsize=6)
def model_of(question: Question, *, ended: bool = False) -> Model:
    """The question's network as a transition system."""
    return model(question.network, question.longest_ms, power_cut=question.power_cut, ended=ended)


@frozen
class Answer:
    """An engine and its certificate in the names of the question; or that there is a way; or seconds in
    vain.
    """

    engine: str = ""
    certificate: Certificate | None = None
    seconds: float = 0.0
    reached: bool = False


@frozen(eq=False)
class Memory:
    """Answers by question."""

    answers: dict[Hashable, Answer] = field(factory=dict)
    checked: dict[tuple[Question, Certificate], bool] = field(factory=dict)

    def answer(self, key: Hashable, seconds: float) -> Answer | None:
        """What is known, if it was tried for as long."""
        found = self.answers.get(key)
        settled = found is not None and (found.certificate is not None or found.reached)
        return found if found is not None and (settled or found.seconds >= ENOUGH * seconds) else None

    def keep(self, key: Hashable, answer: Answer) -> Answer:
        """Remembers an answer."""
        _make_room(self.answers)
        self.answers[key] = answer
        return answer

    def confirmed(self, question: Question, certificate: Certificate) -> bool:
        """Whether cvc5 confirms a certificate, in the names of the question."""
        key = question, certificate
        if key not in self.checked:
            _make_room(self.checked)
            part = model_of(question)
            self.checked[key] = recheck.holds(script(part, part.values[question.goal], certificate))
        return self.checked[key]


def _make_room(kept: dict[Any, Any]) -> None:
    if len(kept) >= MOST:
        kept.clear()


MEMORY = Memory()  # of this process
