"""What has been found out about questions, so that each is asked once in a process.

Rule of this file: an answer is found again by the whole question (`prove.system.canonical`) and by how hard
it was tried, never by a part of it; so it is the answer that asking again would give. What cvc5 has said of a
certificate counts for the same certificate of the same question, for nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any

from attrs import field, frozen

from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.engines import recheck
from steadfall.prove.system.canonical import Question
from steadfall.prove.system.step import Frame, Model, frame, model

MOST, MODELS = 4096, 6  # answers that are kept, and models


def frame_of(question: Question) -> Frame:
    """What the checker needs of a question."""
    return frame(question.network, question.longest_ms, power_cut=question.power_cut)


def model_of(question: Question) -> Model:
    """The question's network as a transition system, in a space of its own."""
    return model(question.network, question.longest_ms, power_cut=question.power_cut)


def single_scans(question: Question) -> Model:
    """The same with no step longer than a scan."""
    return model(question.network, question.longest_ms, power_cut=question.power_cut, single=True)


@frozen
class Answer:
    """An engine and its certificate in the names of the question; or that there is a way; or neither.

    `spent`: units of work that it took.
    """

    engine: str = ""
    certificate: Certificate | None = None
    reached: bool = False
    spent: int = 0

    @property
    def settled(self) -> bool:
        """Whether it says anything."""
        return self.certificate is not None or self.reached


@frozen(eq=False)
class Memory:
    """Answers by question."""

    answers: dict[Hashable, Answer] = field(factory=dict)
    checked: dict[tuple[Question, Certificate], bool] = field(factory=dict)
    models: dict[Question, Model] = field(factory=dict)

    def answer(self, key: Hashable, ask: Callable[[], Answer]) -> Answer:
        """What is known, else what is found by asking."""
        if key not in self.answers:
            _make_room(self.answers)
            self.answers[key] = ask()
        return self.answers[key]

    def fresh(self, question: Question) -> Model:
        """The model of a question of which nothing has been asked yet."""
        self.models.pop(question, None)
        while len(self.models) >= MODELS:
            del self.models[next(iter(self.models))]
        self.models[question] = model_of(question)
        return self.models[question]

    def confirmed(self, question: Question, certificate: Certificate) -> bool:
        """Whether cvc5 confirms a certificate, in the names of the question."""
        key = question, certificate
        if key not in self.checked:
            _make_room(self.checked)
            part = self.models.get(question) or frame_of(question)
            self.checked[key] = recheck.holds(script(part, [question.goal], certificate))
        return self.checked[key]


def _make_room(kept: dict[Any, Any]) -> None:
    if len(kept) >= MOST:
        kept.clear()


MEMORY = Memory()  # of this process
