"""A term that somebody else wrote, read before any solver sees it: one term, of declared symbols.

Rule of this file: what is not in the tables is refused: commands, comments, texts, sorts, other quotings, a
second term. A name that `let` gives ends with its term and never stands for a symbol. What is handed on is
written anew from what was read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence

from attrs import field, frozen

BOOL, INT = "Bool", "Int"
DEEPEST = 200  # brackets in brackets, `let` not counted
_WORD = re.compile(r"[()]|\|[^|\\\x00-\x1f]*\||[A-Za-z0-9_!<>=+*-]+|[ \t\r\n]+")
_NUMBER, _LOCAL = re.compile(r"0|[1-9][0-9]*"), re.compile(r"a![0-9]+")
_PLAIN = re.compile(r"[a-z_]+")  # a symbol without bars
LET, NEGATIVE = "let", "-"

Sorts = Sequence[str]


class NotATermError(ValueError):
    """What is wrong with a text that should be a term, and where."""

    def __init__(self, place: int, wrong: str, of: str = "") -> None:
        super().__init__(f"{of}letter {place + 1}: {wrong}")
        self.place, self.wrong = place, wrong


def _every(sort: str, least: int) -> Callable[[Sorts], bool]:
    return lambda given: len(given) >= least and set(given) == {sort}


def _alike(given: Sorts) -> bool:
    return len(given) >= 2 and len(set(given)) == 1


def _choice(given: Sorts) -> bool:
    return len(given) == 3 and given[0] == BOOL and given[1] == given[2]


# Operator: which parts it takes, and its sort; "": that of its last part.
OPERATORS: Mapping[str, tuple[Callable[[Sorts], bool], str]] = {
    "not": (lambda given: list(given) == [BOOL], BOOL),
    "and": (_every(BOOL, 1), BOOL),
    "or": (_every(BOOL, 1), BOOL),
    "=>": (_every(BOOL, 2), BOOL),
    "=": (_alike, BOOL),
    "distinct": (_alike, BOOL),
    "ite": (_choice, ""),
    "<": (_every(INT, 2), BOOL),
    "<=": (_every(INT, 2), BOOL),
    ">": (_every(INT, 2), BOOL),
    ">=": (_every(INT, 2), BOOL),
    "+": (_every(INT, 1), INT),
    "-": (_every(INT, 1), INT),
    "*": (_every(INT, 2), INT),
    "div": (lambda given: list(given) == [INT, INT], INT),
    "mod": (lambda given: list(given) == [INT, INT], INT),
}
BY_A_NUMBER = ("*", "div", "mod")
CONSTANTS: Mapping[str, str] = {"true": BOOL, "false": BOOL}


@frozen
class _Word:
    """A bracket, an operator, a name or a number, and where it stands."""

    text: str
    place: int


@frozen(eq=False)
class _Group:
    """What stands in brackets."""

    place: int
    parts: list[_Word | _Group] = field(factory=list)


_Part = _Word | _Group


def one_term(text: str, symbols: Mapping[str, str]) -> str:
    """The one term, true or false, that a text is, written anew; raises NotATermError.

    `symbols`: name without bars -> sort.
    """
    words = list(_words(text))
    tree = _tree(words, len(text))
    sort = _sort(tree, symbols, {}, 0)
    if sort != BOOL:
        raise NotATermError(tree.place, "a number; expected what is true or false")
    return " ".join(word.text for word in words).replace("( ", "(").replace(" )", ")")


def _words(text: str) -> Iterator[_Word]:
    at = 0
    while at < len(text):
        found = _WORD.match(text, at)
        if found is None:
            raise NotATermError(at, f"{text[at]!r} cannot stand in a term")
        if not found[0].isspace():
            yield _Word(found[0], at)
        at = found.end()


def _tree(words: Sequence[_Word], end: int) -> _Part:
    """The one thing that some words are."""
    outside = _Group(0)
    opened = [outside]
    for word in words:
        if outside.parts and len(opened) == 1:
            raise NotATermError(word.place, f"'{word.text}' comes after the end of the term")
        if word.text == ")":
            if len(opened) == 1:
                raise NotATermError(word.place, "')' shuts nothing")
            opened.pop()
            continue
        part: _Part = _Group(word.place) if word.text == "(" else word
        opened[-1].parts.append(part)
        if isinstance(part, _Group):
            opened.append(part)
    if len(opened) > 1 or not outside.parts:
        raise NotATermError(end, "the text ends before the term does")
    return outside.parts[0]


def _sort(part: _Part, symbols: Mapping[str, str], local: Mapping[str, str], depth: int) -> str:
    """The sort of a term; `local`: names of parts around it."""
    if depth > DEEPEST:
        raise NotATermError(part.place, f"more than {DEEPEST} brackets in brackets")
    while isinstance(part, _Group) and _operator(part) == LET:
        local, part = _named(part, symbols, local, depth)
    if isinstance(part, _Word):
        return _leaf(part, symbols, local)
    operator = _operator(part)
    if operator not in OPERATORS:
        raise NotATermError(part.place, f"{operator!r} is no operator that is known here")
    given = [_sort(one, symbols, local, depth + 1) for one in part.parts[1:]]
    fits, sort = OPERATORS[operator]
    if not fits(given):
        raise NotATermError(part.place, f"'{operator}' cannot take {' '.join(given) or 'nothing'}")
    if operator in BY_A_NUMBER and not _linear(operator, part.parts[1:]):
        raise NotATermError(part.place, f"'{operator}' may only be by a number")
    return sort or given[-1]


def _operator(group: _Group) -> str:
    first = group.parts[0] if group.parts else None
    return first.text if isinstance(first, _Word) else ""


def _named(
    group: _Group, symbols: Mapping[str, str], local: Mapping[str, str], depth: int
) -> tuple[Mapping[str, str], _Part]:
    """What `let` names, with what was named before, and the term that it is for."""
    if len(group.parts) != 3 or not isinstance(group.parts[1], _Group):
        raise NotATermError(group.place, "expected (let ((a!1 TERM)) TERM)")
    found: dict[str, str] = {}
    for pair in group.parts[1].parts:
        name = pair.parts[0] if isinstance(pair, _Group) and len(pair.parts) == 2 else None
        if not isinstance(pair, _Group) or not isinstance(name, _Word):
            raise NotATermError(pair.place, "expected (a!1 TERM)")
        if not _LOCAL.fullmatch(name.text) or name.text in {*symbols, *local, *found}:
            raise NotATermError(name.place, f"'{name.text}' cannot name a part; expected a new a!1")
        found[name.text] = _sort(pair.parts[1], symbols, local, depth + 1)
    return {**local, **found}, group.parts[2]


def _leaf(word: _Word, symbols: Mapping[str, str], local: Mapping[str, str]) -> str:
    text = word.text
    if _NUMBER.fullmatch(text):
        return INT
    if text in CONSTANTS:
        return CONSTANTS[text]
    if text in local:
        return local[text]
    name = text[1:-1] if text[0] == "|" else text
    if name not in symbols or (text[0] != "|" and not _PLAIN.fullmatch(text)):
        raise NotATermError(word.place, f"'{text}' is no signal of this question")
    return symbols[name]


def _linear(operator: str, parts: Sequence[_Part]) -> bool:
    """Whether no two unknowns are multiplied, and nothing is divided by one or by nothing."""
    if operator == "*":
        return sum(not _is_number(part) for part in parts) <= 1
    last = parts[-1]
    return isinstance(last, _Word) and _is_number(last) and last.text != "0"


def _is_number(part: _Part) -> bool:
    if isinstance(part, _Word):
        return _NUMBER.fullmatch(part.text) is not None
    return _operator(part) == NEGATIVE and len(part.parts) == 2 and _is_number(part.parts[1])
