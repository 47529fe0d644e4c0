"""Reads one value of the tree as its key's kind says.

Rule of this file: every reader answers, with the value or with what stands for an unread one, and has then
added a problem. Tables and lists of tables are read by `plan.read.table`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, Literal

from attrs import evolve, frozen

from steadfall.dimensions import DIMENSIONS
from steadfall.plan.keys import kinds
from steadfall.plan.keys.held import Bounded, Measured, Part, Spanned
from steadfall.plan.keys.naming import why_no_name
from steadfall.plan.model.condition import Condition, Signal
from steadfall.plan.model.setting import Level, Preset, Setting
from steadfall.plan.problems import UNREAD, UNREAD_MS, Problems, did_you_mean, listed, short
from steadfall.plan.read.known import Known
from steadfall.plan.text.phrase import read_phrase
from steadfall.plan.text.tree import Items, Node, Scalar
from steadfall.plan.text.words import PhraseError, place
from steadfall.source import Mark
from steadfall.units import QuantityError, exact, like_clock, milliseconds, number


@frozen
class Context:
    """What a value is read for: its key, where problems go, and the plan so far."""

    key: str
    problems: Problems
    known: Known = Known()
    names: frozenset[str] = frozenset()  # of things that the tables round it define
    example: str = ""  # of the key

    def of(self, key: str, example: str = "") -> Context:
        """The same for another key."""
        return evolve(self, key=key, example=example)

    def add(self, mark: Mark, slug: str, read: str, expected: str = "", example: str = "") -> None:
        """One more problem of this key."""
        self.problems.add(mark, slug, self.key, read, expected, example=example)


NOTHING: Mapping[type, Any] = {
    kinds.Text: "",
    kinds.Ref: "",
    kinds.Solid: "",
    kinds.Refs: (),
    kinds.Words: "",
    kinds.Whole: UNREAD,
    kinds.Number: UNREAD,
    kinds.Amount: UNREAD,
    kinds.Time: UNREAD,
    kinds.Measure: Measured(UNREAD, "", ""),
    kinds.Span: Spanned(UNREAD, UNREAD, "", ""),
    kinds.Bound: Bounded("", UNREAD, ""),
    kinds.Phrase: Signal(""),
    kinds.Phrases: (Signal(""),),
    kinds.Pattern: None,
}


def _text(scalar: Scalar, _kind: kinds.Text, _context: Context) -> str:
    return scalar.text


def _ref(scalar: Scalar, _kind: kinds.Ref | kinds.Solid, context: Context) -> str:
    if len(scalar.text) > 200:
        context.add(
            scalar.mark, "name", f"'{short(scalar.text)}' is too long for a name", "at most 200 characters"
        )
        return ""
    return scalar.text


def _solid(scalar: Scalar, kind: kinds.Solid, context: Context) -> str:
    name, known = _ref(scalar, kind, context), context.known.solids
    if name and name not in known:
        read = f"'{short(name)}' is no known material{did_you_mean(name, known)}"
        context.add(scalar.mark, "unknown-name", read, listed(sorted(known), 20))
    return name


def _words(scalar: Scalar, kind: kinds.Words, context: Context) -> Any:
    if scalar.text in kind.words:
        return kind.meaning(scalar.text)
    hint = did_you_mean(scalar.text, kind.words)
    context.add(
        scalar.mark, "not-a-choice", f"'{short(scalar.text)}' is not known here{hint}", listed(kind.words)
    )
    return ""


def _whole(scalar: Scalar, kind: kinds.Whole, _context: Context) -> int:
    if not re.fullmatch("[0-9]{1,12}", scalar.text):
        raise QuantityError("not-a-count", f"'{short(scalar.text)}' is not a whole number", "a count", "2")
    value = int(scalar.text)
    if not kind.least <= value <= kind.most:
        raise QuantityError("out-of-bounds", f"'{scalar.text}' cannot be right here", expected(kind))
    return value


def _number(scalar: Scalar, kind: kinds.Number, _context: Context) -> float:
    value = number(scalar.text)
    if not Fraction(kind.least) <= value <= Fraction(kind.most):
        read = f"'{scalar.text}' cannot be right here"
        raise QuantityError("out-of-bounds", read, f"a number from {kind.least} to {kind.most}")
    return float(value)


def _amount(scalar: Scalar, kind: kinds.Amount, context: Context) -> float:
    if kind.set and (setting := _setting(scalar, context)) is not None:
        return _level(scalar.text, kind, setting) if setting else float(UNREAD)
    value, dimension, _ = exact(scalar.text, (kind.dimension,))
    _within(scalar.text, value, kind, dimension)
    return float(value)


def _within(text: str, value: Fraction, kind: kinds.Amount | kinds.Time, dimension: str) -> None:
    least, most = (exact(bound, (dimension,))[0] for bound in (kind.least, kind.most))
    above = isinstance(kind, kinds.Amount) and kind.above
    if value < least or value > most or (above and value == least):
        words = f"{DIMENSIONS[dimension].words} {'above' if above else 'from'} {kind.least} up to {kind.most}"
        raise QuantityError("out-of-bounds", f"'{short(text)}' cannot be right here", words)


def _time(scalar: Scalar, kind: kinds.Time, context: Context) -> int:
    if kind.set and (setting := _setting(scalar, context)) is not None:
        return _set(scalar.text, kind, setting) if setting else UNREAD_MS
    value = milliseconds(scalar.text)
    _within(scalar.text, Fraction(value, 1000), kind, "time")
    return value


def _setting(scalar: Scalar, context: Context) -> Setting | Literal[False] | None:
    """The setting that a text names; False for a name that is none of the plan's, None for no name."""
    known = context.known.settings
    if scalar.text in known:
        return known[scalar.text]
    if known and why_no_name(scalar.text) == "":
        context.problems.unknown(scalar.mark, context.key, scalar.text, "setting", known)
        return False
    return None


def _level(name: str, kind: kinds.Amount, setting: Setting) -> float:
    """A value that is a setting."""
    if not setting.is_read:
        return float(UNREAD)
    wanted = DIMENSIONS[kind.dimension]
    if setting.dimension != kind.dimension:
        read = f"the setting '{name}' is {DIMENSIONS[setting.dimension].words}"
        raise QuantityError("wrong-dimension", read, wanted.words, wanted.example)
    for end in (setting.low, setting.high):
        _within(name, Fraction(end), kind, kind.dimension)
    return Level(setting)


def _set(name: str, kind: kinds.Time, setting: Setting) -> int:
    """A time that is a setting."""
    if not setting.is_read:
        return UNREAD_MS
    if not setting.is_time:
        read = f"the setting '{name}' is {DIMENSIONS[setting.dimension].words}"
        raise QuantityError("wrong-dimension", read, "a time", "0.8 s")
    for end in setting.ends_ms:
        _within(name, Fraction(end, 1000), kind, "time")
    return Preset({setting: 1})


def _measure(scalar: Scalar, kind: kinds.Measure, _context: Context) -> Measured:
    value, dimension, unit = exact(scalar.text, kind.dimensions)
    return Measured(float(value), dimension, unit)


def _span(scalar: Scalar, kind: kinds.Span, _context: Context) -> Spanned:
    first, dots, second = scalar.text.partition(" .. ")
    two = " " in first or like_clock(first) or like_clock(second)
    example = f"0 .. {DIMENSIONS[kind.dimensions[0]].example}"
    if not dots or not (two or " " in second):
        read = f"'{short(scalar.text)}' is not a range"
        raise QuantityError("not-a-range", read, "two numbers and one unit", example)
    top, dimension, unit = exact(second, kind.dimensions)
    bottom = exact(first if two else f"{first} {unit}", (dimension,))[0]
    return Spanned(float(bottom), float(top), dimension, unit)


def _bound(scalar: Scalar, kind: kinds.Bound, _context: Context) -> Bounded:
    for words in ("at most", "at least"):
        if scalar.text.startswith(words + " "):
            value, _, unit = exact(scalar.text[len(words) + 1 :], (kind.dimension,))
            return Bounded(words.replace(" ", "_"), float(value), unit)
    example = f"at most {DIMENSIONS[kind.dimension].example}"
    if re.match(r"[+-]?[0-9]", scalar.text):
        exact(scalar.text, (kind.dimension,))  # a wrong dimension is the graver slip
    raise QuantityError(
        "no-bound", f"'{short(scalar.text)}' is not a bound", "'at most' or 'at least' and a value", example
    )


def _phrase(scalar: Scalar, _kind: kinds.Phrase, context: Context) -> Condition:
    try:
        return read_phrase(scalar, context.known.settings)
    except PhraseError as error:
        context.add(error.mark, error.slug, error.read, error.expected, error.example)
        return Signal("")


def _pattern(scalar: Scalar, kind: kinds.Pattern, context: Context) -> Any:
    match = re.fullmatch(kind.regex, scalar.text)
    if not match:
        read = f"'{short(scalar.text)}' does not fit"
        context.add(scalar.mark, "sentence", read, kind.words, context.example)
        return None
    found = {name: text for name, text in match.groupdict().items() if text is not None}
    return kind.makes(**{name: Part(text, place(scalar, match.start(name))) for name, text in found.items()})


_SCALARS: Mapping[type, Callable[[Scalar, Any, Context], Any]] = {
    kinds.Text: _text,
    kinds.Ref: _ref,
    kinds.Solid: _solid,
    kinds.Words: _words,
    kinds.Whole: _whole,
    kinds.Number: _number,
    kinds.Amount: _amount,
    kinds.Time: _time,
    kinds.Measure: _measure,
    kinds.Span: _span,
    kinds.Bound: _bound,
    kinds.Phrase: _phrase,
    kinds.Pattern: _pattern,
}


def read_value(node: Node, kind: kinds.Kind, context: Context) -> Any:
    """The value of a node for a kind that holds no tables."""
    if isinstance(kind, kinds.Refs | kinds.Phrases):
        return _list(node, kind, context)
    if not isinstance(node, Scalar):
        found = "a list" if isinstance(node, Items) else "a table"
        context.add(node.mark, "not-a-text", f"{found} stands here", expected(kind))
        return NOTHING[type(kind)]
    if not node.text.strip() and not isinstance(kind, kinds.Text):
        context.add(node.mark, "empty-value", "nothing is given", expected(kind))
        return NOTHING[type(kind)]
    try:
        return _SCALARS[type(kind)](node, kind, context)
    except QuantityError as error:
        context.problems.misread(node.mark, context.key, error)
        return NOTHING[type(kind)]


def _list(node: Node, kind: kinds.Refs | kinds.Phrases, context: Context) -> Any:
    if not isinstance(node, Items):
        example = "[upper, lower]" if isinstance(kind, kinds.Refs) else "[upper.mist, upper.flood]"
        context.add(node.mark, "not-a-list", f"{look(node)} is not a list", expected(kind), example)
        return NOTHING[type(kind)]
    part = kinds.Ref() if isinstance(kind, kinds.Refs) else kinds.Phrase()
    least, most = (kind.least, kind.most) if isinstance(kind, kinds.Refs) else (2, 1000)
    if not least <= len(node.nodes) <= most:
        count = f"{least}" if least == most else f"at least {least}"
        context.add(node.mark, "list-length", f"{len(node.nodes)} entries stand here", f"a list of {count}")
        return NOTHING[type(kind)]
    return tuple(read_value(item, part, context) for item in node.nodes)


def look(node: Node) -> str:
    """How a node looks to a reader, for a sentence."""
    if isinstance(node, Scalar):
        return f"'{short(node.text)}'" if node.text.strip() else "nothing"
    return "a list" if isinstance(node, Items) else "a table"


def expected(kind: kinds.Kind) -> str:
    """What a kind expects, in words."""
    return _EXPECTED[type(kind)](kind)


_EXPECTED: Mapping[type, Callable[[Any], str]] = {
    kinds.Text: lambda _: "a text",
    kinds.Ref: lambda _: "a name",
    kinds.Solid: lambda _: "a name",
    kinds.Refs: lambda _: "a list of names",
    kinds.Words: lambda kind: listed(kind.words),
    kinds.Whole: lambda kind: f"a whole number from {kind.least} to {kind.most}",
    kinds.Number: lambda kind: f"a number from {kind.least} to {kind.most}",
    kinds.Amount: lambda kind: DIMENSIONS[kind.dimension].words,
    kinds.Time: lambda _: DIMENSIONS["time"].words,
    kinds.Measure: lambda _: "a quantity",
    kinds.Span: lambda _: "a range",
    kinds.Bound: lambda kind: f"'at most' or 'at least' and {DIMENSIONS[kind.dimension].words}",
    kinds.Phrase: lambda _: "a condition",
    kinds.Phrases: lambda _: "a list of conditions",
    kinds.Pattern: lambda kind: kind.words,
    kinds.One: lambda _: "a table",
    kinds.Named: lambda _: "a table of names",
    kinds.Many: lambda _: "a list",
    kinds.Either: lambda kind: " or ".join(dict.fromkeys(expected(part) for part in kind.kinds)),
}
