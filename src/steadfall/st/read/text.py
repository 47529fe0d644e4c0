"""Structured text as a tree: phrases and words, each with its place."""

from __future__ import annotations

from typing import Any, Protocol

import attrs

from steadfall.source import Mark

# What a reader may miss, by the word at which the grammar stops.
OUTSIDE = {
    "while": "a loop without constant bounds",
    "repeat": "a loop without constant bounds",
    "return": "a jump out of a unit",
    "exit": "a jump out of a loop",
    "continue": "a jump within a loop",
    "array": "an array",
    "struct": "a structure",
    "type": "a type of one's own",
    "configuration": "a configuration",
    "class": "a class",
    "method": "a method",
    "interface": "an interface",
    "namespace": "a name space",
    "[": "an array",
    "{": "a directive of one environment",
    "^": "a reference",
}


class Tree(Protocol):
    """A phrase of the text: what it is, its parts, its place."""

    data: str
    children: list[Any]


Part = Any  # a Tree, or a word with `type`, `line` and `column`


@attrs.define
class Phrase:
    """A phrase that the text does not have as such."""

    data: str
    children: list[Any]


def is_phrase(part: Part) -> bool:
    """Whether this is a phrase and not a word."""
    return hasattr(part, "children")


def place(part: Part, name: str) -> Mark:
    """Where a phrase or a word begins."""
    while is_phrase(part) and part.children:
        part = part.children[0]
    return Mark(name, getattr(part, "line", None) or 1, getattr(part, "column", None) or 1)
