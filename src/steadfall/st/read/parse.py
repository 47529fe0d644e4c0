"""Structured text to a tree: comments, the grammar, and what cannot be read, each with its place.

Rule of this file: the one door to lark, opened only when a text is read. Whatever the text is, the answer is
a tree or a PlanError.
"""

from __future__ import annotations

import functools
import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import lark

from steadfall.plan.problems import listed, short
from steadfall.source import Mark, PlanError, Problem
from steadfall.st.read.text import OUTSIDE, Tree, is_phrase, place

MOST_CHARACTERS = 4_000_000
MOST_ENDS = 60_000  # statements and declarations, by the semicolon at the end of each
DEEPEST = 60  # levels of brackets and statements within each other

_COMMENT = re.compile(r"\(\*|/\*|//[^\n]*|'[^'\n]*'|\"[^\"\n]*\"")
_ENDS = {"(*": re.compile(r"\(\*|\*\)"), "/*": re.compile(r"/\*|\*/")}


def parse(text: str, name: str) -> Tree:
    """The text as a tree; raises PlanError where it is not structured text, or more than Steadfall reads."""
    if len(text) > MOST_CHARACTERS:
        raise PlanError([Problem(Mark(name, 1, 1), "too-long", "", f"{len(text)} characters", "a program")])
    bare = _without_comments(text, name)
    _refuse_long(bare, text, name)
    try:
        tree: Tree = _parser().parse(bare)
    except _RefusedError as refused:
        read = f"{OUTSIDE[refused.word.lower()]} is outside what Steadfall reads"
        raise PlanError([Problem(place(refused.word, name), "syntax", "", read, "")], text) from None
    except lark.exceptions.UnexpectedInput as error:
        raise PlanError([_unexpected(error, text, name)], text) from None
    depth, deepest = max(_levels(tree), key=lambda found: found[0])
    if depth > DEEPEST * 4:
        read = f"more than {DEEPEST} levels within each other"
        raise PlanError([Problem(place(deepest, name), "too-deep", "", read, "shallower text")], text)
    return tree


def _refuse_long(bare: str, text: str, name: str) -> None:
    """Refuses more statements and declarations than are read, before any time is spent on them."""
    if bare.count(";") > MOST_ENDS:
        found = itertools.islice(re.finditer(";", bare), MOST_ENDS, None)
        read = f"more than {MOST_ENDS} statements and declarations"
        mark = _place_of(text, next(found).start(), name)
        raise PlanError([Problem(mark, "too-long", "", read, "a shorter program")], text)


class _RefusedError(Exception):
    def __init__(self, word: Any) -> None:
        self.word = word
        super().__init__(str(word))


def _refuse(word: Any) -> Any:
    """A word after which nothing could be read."""
    raise _RefusedError(word)


@functools.cache
def _parser() -> lark.Lark:
    grammar = Path(__file__).with_name("grammar.lark").read_text(encoding="utf-8")
    return lark.Lark(
        grammar,
        parser="lalr",
        lexer="contextual",
        maybe_placeholders=False,
        lexer_callbacks={"LOOP": _refuse},
    )


def _without_comments(text: str, name: str) -> str:
    """The text with blanks for comments, every other character at its place; comments may stand within each
    other.
    """
    parts, at = [], 0
    while found := _COMMENT.search(text, at):
        parts.append(text[at : found.start()])
        stop = found.end()
        if found.group() in _ENDS:
            stop = _end_of(text, found.start(), found.group(), name)
        kept = found.group()[0] in "'\""
        parts.append(
            text[found.start() : stop] if kept else re.sub(r"[^\n]", " ", text[found.start() : stop])
        )
        at = stop
    return "".join([*parts, text[at:]])


def _end_of(text: str, start: int, opening: str, name: str) -> int:
    level, at = 0, start
    while found := _ENDS[opening].search(text, at):
        level += 1 if found.group() == opening else -1
        at = found.end()
        if level == 0:
            return at
    problem = Problem(_place_of(text, start, name), "comment", "", "a comment without an end", "its end")
    raise PlanError([problem], text)


def _place_of(text: str, offset: int, name: str) -> Mark:
    return Mark(name, text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset))


def _unexpected(error: Any, text: str, name: str) -> Problem:
    lines = text.split("\n")
    ended = getattr(error, "token", None) is not None and error.token.type == "$END"
    line = len(lines) if ended else error.line
    column = len(lines[-1]) + 1 if ended else error.column
    row = lines[line - 1] if 0 < line <= len(lines) else ""
    word = "the end" if ended else _word(row[max(column - 1, 0) :])
    what = OUTSIDE.get(word.lower())
    read = f"{what} is outside what Steadfall reads" if what else f"'{short(word)}' does not fit here"
    names = sorted(_spoken(error))
    return Problem(
        Mark(name, max(line, 1), max(column, 1)), "syntax", "", read, "" if what else listed(names)
    )


def _word(rest: str) -> str:
    found = re.match(r"[A-Za-z_][A-Za-z0-9_]*|\S", rest)
    return found.group() if found else "the end of the line"


def _spoken(error: Any) -> set[str]:
    """What would have fitted, as a person would name it."""
    wanted = (
        getattr(error, "accepts", None) or getattr(error, "expected", None) or getattr(error, "allowed", None)
    )
    table = {row.name: row.pattern.value for row in _parser().terminals if not row.name.isidentifier() or row}
    said = {_TERMINALS.get(name, table.get(name, name.lower())) for name in wanted or ()}
    return {name.replace("\\", "") for name in said if name}


_TERMINALS = {
    "NAME": "a name",
    "INTEGER": "a number",
    "DECIMAL": "a number",
    "BASED": "a number",
    "TYPED": "a number",
    "TRUTH": "TRUE or FALSE",
    "DURATION": "a time",
    "DIRECT": "an address",
    "TEXT": "",
    "OUTSIDE": "",
    "SECTION": "VAR",
    "QUALIFIER": "CONSTANT",
    "SIGN": "+ or -",
    "ORDER": "a comparison",
    "EQUAL": "= or <>",
    "FACTOR": "* or /",
    "ARROW": "=>",
    "$END": "the end",
}


def _levels(tree: Tree) -> Iterator[tuple[int, Tree]]:
    """Every phrase, and how many others it stands in."""
    waiting: list[tuple[Tree, int]] = [(tree, 0)]
    while waiting:
        part, level = waiting.pop()
        yield level, part
        chained = part.data == "arithmetic"  # a chain is read from the left, however long it is
        for number, child in enumerate(part.children):
            if is_phrase(child):
                flat = chained and not number and child.data == "arithmetic"
                waiting.append((child, level + (not flat)))
