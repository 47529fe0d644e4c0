"""Reads a condition such as `after 45 s and outlet_temperature < 140 degC`.

    bracket  = chain [ "for" TIME ]
    chain    = part { "and" part } | part { "or" part }
    part     = "not" part | "(" bracket ")" | "true" | "false" | "after" TIME
             | NAME | NAME "is" NAME | NAME "out" "of" "range" | NAME "goes" ("on" | "off")
             | NAME ("<" | "<=" | ">" | ">=") (QUANTITY [ "with" "hysteresis" QUANTITY ] | TIME)

Rule of this file: a sentence that a person could read aloud in two ways is refused (`and` and `or` mixed
without brackets), and `for` holds everything to its left within its bracket.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.dimensions import DIFFERENCES, DIMENSIONS
from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Goes,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Passed,
    Signal,
)
from steadfall.plan.model.setting import Level, Preset, Setting
from steadfall.plan.problems import UNREAD_MS, short
from steadfall.plan.text.tree import Scalar
from steadfall.plan.text.words import RESERVED, PhraseError, Word, words
from steadfall.units import QuantityError, exact, milliseconds

# What a measured signal, or a time that the controller counts, can be compared with.
COMPARED = ("temperature", "pressure", "percent", "mass_flow", "temperature_difference", "time")
DEEPEST_PHRASE = 12  # brackets and `not`s inside one another
NO_SETTINGS: Mapping[str, Setting] = {}
LONGEST_PHRASE = 4000  # characters


def read_phrase(scalar: Scalar, settings: Mapping[str, Setting] = NO_SETTINGS) -> Condition:
    """The condition that a text states, in which settings may stand for numbers; raises PhraseError."""
    if len(scalar.text) > LONGEST_PHRASE:
        raise PhraseError(
            scalar.mark, "phrase", "this condition is too long", f"at most {LONGEST_PHRASE} characters"
        )
    if not scalar.text.strip():
        raise PhraseError(scalar.mark, "phrase", "there is no condition here", "a condition", "full_call")
    reader = _Reader(words(scalar), settings)
    condition = reader.bracket(0)
    if reader.now.kind != "end":
        raise reader.lost("and, or, for, or the end")
    return condition


LONGEST_MS = 240 * 3_600_000  # a longer time is a slip of the pen, and timers of controllers cannot count it


class _Reader:
    """Goes through the words once, from left to right."""

    def __init__(self, found: list[Word], settings: Mapping[str, Setting]) -> None:
        self.found, self.settings = found, settings
        self.next = 0

    @property
    def now(self) -> Word:
        return self.found[self.next]

    def take(self) -> Word:
        word = self.now
        self.next = min(self.next + 1, len(self.found) - 1)
        return word

    def sees(self, *texts: str) -> bool:
        return self.now.kind in ("name", "bracket", "op") and self.now.text in texts

    def lost(self, expected: str, example: str = "") -> PhraseError:
        read = (
            "the condition ends too soon"
            if self.now.kind == "end"
            else f"'{short(self.now.text)}' cannot stand here"
        )
        return PhraseError(self.now.mark, "phrase", read, expected, example)

    def bracket(self, depth: int) -> Condition:
        mark = self.now.mark
        condition = self.chain(depth)
        if self.sees("for"):
            self.take()
            condition = Held(condition, self.time("for 0.2 s"), mark)
            if self.sees("and", "or"):
                expected = "it last in its bracket; put brackets round what it holds"
                raise PhraseError(
                    self.now.mark, "phrase", "'for' is followed by more", expected, "(a for 1 s) and b"
                )
        return condition

    def chain(self, depth: int) -> Condition:
        mark = self.now.mark
        parts = [self.part(depth)]
        joiner = self.now.text if self.sees("and", "or") else ""
        while self.sees("and", "or"):
            if self.now.text != joiner:
                expected = "brackets round the one or the other"
                raise PhraseError(
                    self.now.mark, "and-or-mixed", "'and' and 'or' are mixed", expected, "a and (b or c)"
                )
            self.take()
            parts.append(self.part(depth))
        if len(parts) == 1:
            return parts[0]
        return And(tuple(parts), mark) if joiner == "and" else Or(tuple(parts), mark)

    def part(self, depth: int) -> Condition:
        word = self.now
        if depth > DEEPEST_PHRASE:
            raise PhraseError(
                word.mark, "too-deep", "brackets are nested too deeply", f"at most {DEEPEST_PHRASE}"
            )
        if self.sees("not"):
            self.take()
            return Not(self.part(depth + 1), word.mark)
        if self.sees("("):
            self.take()
            inside = self.bracket(depth + 1)
            if not self.sees(")"):
                raise self.lost("a closing bracket")
            self.take()
            return inside
        if self.sees("true", "false"):
            return Always(self.take().text == "true", word.mark)
        if self.sees("after"):
            self.take()
            return After(self.time("after 45 s"), word.mark)
        return self.statement()

    def statement(self) -> Condition:
        """What is said of a signal."""
        word = self.now
        if word.kind != "name" or word.text in RESERVED:
            raise self.lost("a signal", "full_call")
        self.take()
        if self.now.kind == "op":
            return self.compare(word)
        if self.sees("is"):
            return self.stage(word)
        if self.sees("out"):
            for expected in ("out", "of", "range"):
                if not self.sees(expected):
                    raise self.lost("'out of range'")
                self.take()
            return OutOfRange(word.text, word.mark)
        if self.sees("goes"):
            self.take()
            if not self.sees("on", "off"):
                raise self.lost("on or off", "start_switch goes on")
            return Goes(word.text, self.take().text == "on", word.mark)
        return Signal(word.text, word.mark)

    def compare(self, word: Word) -> Condition:
        op = self.take().text
        if self.now.kind == "name" and self.now.text in self.settings:
            return self.compare_set(word, op)
        if self.now.kind != "quantity":
            raise self.lost("a number with a unit", "140 degC")
        text = self.now
        try:
            value, dimension, _ = exact(text.text, COMPARED)
        except QuantityError as error:
            raise PhraseError(text.mark, error.slug, error.read, error.expected, error.example) from None
        if dimension == "time":
            return Passed(word.text, op, self.time("upper.stage_time >= 45 s"), word.mark)
        self.take()
        return Compare(
            word.text, op, float(value), dimension, word.mark, hysteresis=self.hysteresis(dimension)
        )

    def hysteresis(self, dimension: str) -> float:
        """How far a value must go back, where it is said."""
        if not self.sees("with"):
            return 0.0
        self.take()
        example = f"with hysteresis {DIMENSIONS[DIFFERENCES[dimension]].example}"
        if not self.sees("hysteresis"):
            raise self.lost("'hysteresis' and how far back", example)
        self.take()
        text = self.now
        if text.kind != "quantity":
            raise self.lost("how far back", example)
        try:
            value = exact(text.text, (DIFFERENCES[dimension],))[0]
        except QuantityError as error:
            raise PhraseError(text.mark, error.slug, error.read, error.expected, error.example) from None
        if value <= 0:
            read = f"'{short(text.text)}' cannot be right here"
            raise PhraseError(text.mark, "out-of-bounds", read, "a distance above zero", example)
        self.take()
        return float(value)

    def compare_set(self, word: Word, op: str) -> Condition:
        """A comparison with a setting."""
        setting = self.settings[self.now.text]
        if not setting.is_read:
            self.take()
            return Signal("", word.mark)
        if setting.is_time:
            return Passed(word.text, op, self.time(""), word.mark)
        self.take()
        return Compare(word.text, op, Level(setting), setting.dimension, word.mark)

    def stage(self, word: Word) -> Condition:
        self.take()
        if self.now.kind != "name" or "." in self.now.text:
            raise self.lost("the name of a stage", "upper is dosing")
        return InStage(word.text, self.take().text, word.mark)

    def time(self, example: str) -> int:
        setting = self.settings.get(self.now.text) if self.now.kind == "name" else None
        if setting and (setting.is_time or not setting.is_read):
            self.take()
            return Preset({setting: 1}) if setting.is_read else UNREAD_MS
        if self.now.kind != "quantity":
            raise self.lost("a time", example)
        text = self.take()
        try:
            ms = milliseconds(text.text)
        except QuantityError as error:
            raise PhraseError(text.mark, error.slug, error.read, error.expected, error.example) from None
        if not 0 <= ms <= LONGEST_MS:
            read = f"'{short(text.text)}' cannot be right here"
            raise PhraseError(text.mark, "out-of-bounds", read, "a time from 0 s up to 240 h", example)
        return ms
