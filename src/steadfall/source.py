"""Where text came from, and what is wrong with it.

Rule of this file: a problem that a person can mend names its place, what was read, what was expected, an
example, and a stable slug; and all problems of a text are reported in one run, in line order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from attrs import field, frozen


@frozen(order=True)
class Mark:
    """A place in a text: file, line and column, both counted from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


NOWHERE = Mark("", 0, 0)
UNREADABLE = "unreadable"  # the slug of a plan whose file cannot be read


@frozen(eq=False)
class Marks:
    """Where an object was written and where each of its keys was; objects compare equal wherever they
    stand.
    """

    own: Mark = NOWHERE
    keys: Mapping[str, Mark] = field(factory=dict)

    def of(self, key: str) -> Mark:
        """The place of a key's value, or of the object itself where the key was left out."""
        return self.keys.get(key, self.own)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Marks)

    def __hash__(self) -> int:
        return 0


def at() -> Marks:
    """The attrs field by which an object remembers where it was written."""
    return field(factory=Marks, repr=False, kw_only=True)


@frozen
class Text:
    """A text that was read: its file, as it was named, and its SHA-256."""

    file: str
    digest: str

    def as_json(self) -> dict[str, Any]:
        """In stable names."""
        return {"file": self.file, "digest": self.digest}


@frozen(order=True)
class Problem:
    """One thing to mend: place, key, what was read, what was expected, an example, a stable slug."""

    mark: Mark
    slug: str
    key: str
    read: str
    expected: str
    example: str = ""

    def sentence(self) -> str:
        """The problem as one line: `plan.yaml:14:5: rate: '5 bar' is a pressure; expected ... [slug]`."""
        like = f" such as '{self.example}'" if self.example else ""
        key = f"{self.key}: " if self.key else ""
        expected = f"expected {self.expected}{like}" if self.expected else ""
        if expected:  # after a question it stands in brackets
            expected = f" ({expected})" if self.read.endswith("?") else f"; {expected}"
        place = f"{self.mark}: " if str(self.mark) else ""
        return f"{place}{key}{self.read}{expected} [{self.slug}]"


class SteadfallError(Exception):
    """Base of the errors that are not ours: the text or the user is wrong, or the world outside is."""


class PlanError(SteadfallError):
    """The text has problems; `problems` lists them all, in line order."""

    def __init__(self, problems: Iterable[Problem], text: str = "") -> None:
        self.problems = tuple(sorted(problems))
        self.text = text
        super().__init__(self.listing())

    def listing(self) -> str:
        """Every problem with its line and a caret under the place."""
        return listing(self.problems, self.text)

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.problems, self.text)


class AskError(SteadfallError):
    """What was asked for cannot be: no such signal, a moment after the end, two wishes that exclude each
    other.
    """


class OutsideError(SteadfallError):
    """Something outside the plan failed: a folder that cannot be written, a missing optional package."""


def listing(problems: Iterable[Problem], text: str, before: str = "") -> str:
    """Problems as a person reads them: sentence, then the line of the text with a caret under the place."""
    lines = text.splitlines()
    return "\n".join(
        before * (k == 0) + part for one in problems for k, part in enumerate(_shown(one, lines))
    )


def _shown(problem: Problem, lines: list[str]) -> Iterable[str]:
    yield problem.sentence()
    row, column = problem.mark.line, problem.mark.column
    if 1 <= row <= len(lines):
        text = lines[row - 1]
        start = max(0, column - 100)
        cut = "".join(letter if letter.isprintable() else " " for letter in text[start : start + 120])
        yield f"    {cut}"
        yield "    " + " " * (column - 1 - start) + "^"
