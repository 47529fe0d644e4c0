"""The words of a condition: its text cut into tokens, each with its place.

Rule of this file: no grammar; `plan.text.phrase` says what may follow what.
"""

from __future__ import annotations

import re

from attrs import frozen

from steadfall.plan.problems import short
from steadfall.plan.text.tree import Scalar
from steadfall.source import Mark

RESERVED = frozenset({"and", "or", "not", "for", "is", "after", "true", "false", "out", "goes", "with"})

_TOKEN = re.compile(
    r"(?P<quantity>[0-9]+:[0-9:.]*"
    r"|[+-]?[0-9][0-9_.,]*(?:[eE][+-]?[0-9]+)?(?: +(?!(?:and|or|for|not)\b)[^\s()<>=]+)?)"
    r"|(?P<dashed>[A-Za-z_][A-Za-z0-9_.]*(?:-[A-Za-z0-9_.]+)+)"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z_][A-Za-z0-9_]*)*)"
    r"|(?P<op><=|>=|<|>)"
    r"|(?P<bracket>[()])"
    r"|(?P<odd>\S)"
)
NOT_A_NAME = "cannot be a name"
NAME_EXPECTED = "letters, digits and single underscores, beginning with a letter"


@frozen
class Word:
    """One token: "quantity", "name", "op", "bracket", "odd" or "end"."""

    kind: str
    text: str
    mark: Mark


class PhraseError(ValueError):
    """A condition cannot be read; says where, what was read and what was expected."""

    def __init__(self, mark: Mark, slug: str, read: str, expected: str = "", example: str = "") -> None:
        self.mark, self.slug, self.read, self.expected, self.example = mark, slug, read, expected, example
        super().__init__(read)


def words(scalar: Scalar) -> list[Word]:
    """The tokens of a condition, with one of kind "end" at the end."""
    found = [
        Word(str(match.lastgroup), match.group(), place(scalar, match.start()))
        for match in _TOKEN.finditer(scalar.text)
    ]
    for word in found:
        if word.kind == "dashed":
            read, example = f"'{short(word.text)}' {NOT_A_NAME}", word.text.replace("-", "_")
            raise PhraseError(word.mark, "name", read, NAME_EXPECTED, example)
        if word.kind == "odd":
            read = f"'{short(word.text)}' has no meaning in a condition"
            raise PhraseError(word.mark, "phrase", read, "names, <, <=, >, >=, and, or, not, brackets")
    return [*found, Word("end", "the end", place(scalar, len(scalar.text)))]


def place(scalar: Scalar, offset: int) -> Mark:
    """The place of a character of a text, as near as it is known."""
    mark = scalar.mark
    return Mark(mark.file, mark.line, mark.column + offset) if scalar.inline else mark
