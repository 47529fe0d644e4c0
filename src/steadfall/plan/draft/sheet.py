"""The answers as numbers and words, with what is typical where nothing was answered.

Rule of this file: what was typed is written as it was typed; a typical number is rounded as a person would.
The typical numbers come from plants of a metre or so: channels of one metre for each 23 kg of metal, a dose
valve of 0.3 litres an hour for each kilogram.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cached_property

from attrs import frozen

from steadfall.constants import ATMOSPHERE
from steadfall.plan.draft.questions import QUESTIONS, Question
from steadfall.source import AskError
from steadfall.units import QuantityError, quantity

GAS = ("oven", "vessel")
MASSES = {"press": 1600.0, "mould": 300.0, "barrel": 95.0, "roll": 1600.0, "oven": 650.0, "vessel": 900.0}
LOADS = {"press": 45.0, "mould": 12.0, "barrel": 3.0, "roll": 0.0, "oven": 320.0, "vessel": 400.0}
CIRCUITS = {"press": 2, "roll": 2}
METRE_PER_KG = 1.0 / 23.0
LONGEST = 18.0  # m of one channel
BORES = ((150.0, 8.0), (1000.0, 14.0), (math.inf, 18.0))  # kg of a circuit up to which, mm
FALLS = {"oven": 3.0, "vessel": 3.0}  # K/min
SHOCKS = {"oven": 60.0, "vessel": 60.0, "barrel": 80.0}  # K


@frozen(slots=False)
class Sheet:
    """The answers, by the names of their questions. Raises AskError for one that does not fit."""

    answers: Mapping[str, str]

    def __attrs_post_init__(self) -> None:
        for name, answer in self.answers.items():
            if name not in QUESTIONS:
                known = ", ".join(QUESTIONS)
                raise AskError(f"nothing is asked that is called '{name}'; expected one of {known}")
            fits(QUESTIONS[name], answer.strip())
        if self.si("goal") >= self.si("start"):
            raise AskError(
                f"{self.said('goal')} is no temperature below {self.said('start')}: nothing to cool"
            )
        if self.si("cold") >= self.si("goal"):
            raise AskError(f"water of {self.said('cold')} cools nothing to {self.said('goal')}")

    def given(self, name: str) -> bool:
        """Whether it was answered."""
        return bool(self.answers.get(name, "").strip())

    def said(self, name: str) -> str:
        """The answer as it stands in the plan."""
        answer = self.answers.get(name, "").strip()
        return answer or QUESTIONS[name].usual or TYPICAL[name](self)

    def si(self, name: str) -> float:
        """The answer in SI."""
        return quantity(self.said(name), QUESTIONS[name].dimension)

    def gauge(self, name: str, times: float = 1.0) -> float:
        """So many times a gauge pressure, in bar."""
        return times * (self.si(name) - ATMOSPHERE) * 1e-5

    def count(self, name: str) -> int:
        """The answer as a count."""
        return int(self.said(name))

    def yes(self, name: str) -> bool:
        """Whether it is so."""
        return self.said(name) == "yes"

    @property
    def equipment(self) -> str:
        """What is cooled."""
        return self.said("equipment")

    @property
    def in_gas(self) -> bool:
        """Whether a coil cools a gas, and that the rest."""
        return self.equipment in GAS

    @cached_property
    def share(self) -> float:
        """The kg that one circuit cools."""
        load = self.si("load") if self.in_gas else 0.0
        return (self.si("mass") + load) / self.count("circuits")

    @cached_property
    def room(self) -> float:
        """K between start and goal."""
        return self.si("start") - self.si("goal")

    def note(self, more: str = "", **names: str) -> str:
        """A comment that says what is typical in a line, so that it is looked at: questions, each with its
        word here.
        """
        said = [word for name, word in names.items() if not self.given(name)]
        said += [more] if more else []
        return f"   # typical: {', '.join(said)}" if said else ""


def fits(question: Question, answer: str) -> None:
    """Raises AskError where an answer is none."""
    words = f"{question.words}: '{answer[:60]}'"
    if not answer:
        return
    if question.options and answer not in (known for known, _ in question.options):
        raise AskError(f"{words} is not one of {', '.join(known for known, _ in question.options)}")
    if question.most and not (answer.isdigit() and 1 <= int(answer) <= question.most):
        raise AskError(f"{words} is no number from 1 to {question.most}")
    if question.dimension:
        try:
            quantity(answer, question.dimension)
        except QuantityError as error:
            such = f", such as {error.example}" if error.example else ""
            raise AskError(f"{question.words}: {error}{such}") from error
    if not answer.isprintable() or len(answer) > 100:
        raise AskError(f"{words} is no line of at most 100 letters")


def rounded(value: float, digits: int = 2) -> str:
    """A typical number as a person would write it: so many digits that count, no zeros after them."""
    places = digits - 1 - math.floor(math.log10(abs(value))) if value else 0
    text = f"{round(value, places):.{max(0, places)}f}"
    return text.rstrip("0").rstrip(".") if places > 0 else text


def _bore(sheet: Sheet) -> str:
    return f"{next(mm for most, mm in BORES if sheet.share <= most):g} mm"


def _whole_length(sheet: Sheet) -> float:
    return max(3.0, sheet.share * METRE_PER_KG)


TYPICAL: Mapping[str, Callable[[Sheet], str]] = {
    "title": lambda sheet: f"New plan, {sheet.equipment}",
    "mass": lambda sheet: f"{MASSES[sheet.equipment]:g} kg",
    "load": lambda sheet: f"{LOADS[sheet.equipment]:g} kg",
    "circuits": lambda sheet: str(CIRCUITS.get(sheet.equipment, 1)),
    "bore": _bore,
    "passes": lambda sheet: str(max(1, math.ceil(_whole_length(sheet) / LONGEST))),
    "length": lambda sheet: f"{rounded(_whole_length(sheet) / sheet.count('passes'))} m",
    "fall": lambda sheet: f"{FALLS.get(sheet.equipment, 6.0):g} K/min",
    "shock": lambda sheet: f"{SHOCKS.get(sheet.equipment, 45.0):g} K",
}
