"""Terms taken apart: every part once, what it is, and the parts that it is made of.

Rule of this file: what does not hang on the order of its parts is marked, since the solver keeps the order in
which they happened to be written.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import Any

import z3
from attrs import frozen

ANY_ORDER = frozenset({z3.Z3_OP_AND, z3.Z3_OP_OR, z3.Z3_OP_EQ, z3.Z3_OP_DISTINCT, z3.Z3_OP_ADD, z3.Z3_OP_MUL})


@frozen
class Part:
    """A part of some terms: what it is; places of what it is made of; whether their order counts."""

    what: Hashable  # a symbol by its name
    made_of: tuple[int, ...]
    ordered: bool


@frozen
class Outline:
    """All parts of some terms, what each is made of before it, and the places of the terms themselves."""

    parts: Sequence[Part]
    terms: Sequence[int]

    def numbers(self, known: Mapping[Hashable, Hashable]) -> list[int]:
        """A number for each term: the same one where only the order of parts, or the names of symbols that
        are known as the same, tell two apart.
        """
        found: dict[Hashable, int] = {}
        row: list[int] = []
        for part in self.parts:
            given = [row[place] for place in part.made_of]
            key = (part.what, *(given if part.ordered else sorted(given)))
            row.append(found.setdefault(known.get(part.what, key) if not given else key, len(found)))
        return [row[place] for place in self.terms]


def outline(terms: Sequence[Any]) -> Outline:
    """Takes terms apart."""
    places: dict[int, int] = {}
    parts: list[Part] = []
    for term in terms:
        stack = [term]
        while stack:
            one = stack[-1]
            made_of = one.children() if one.get_id() not in places else []
            waiting = [part for part in made_of if part.get_id() not in places]
            if waiting:
                stack += waiting
                continue
            stack.pop()
            if one.get_id() not in places:
                places[one.get_id()] = len(parts)
                parts.append(_part(one, tuple(places[part.get_id()] for part in made_of)))
    return Outline(parts, [places[term.get_id()] for term in terms])


def _part(one: Any, made_of: tuple[int, ...]) -> Part:
    kind = one.decl().kind()
    return Part(kind if made_of else str(one), made_of, kind not in ANY_ORDER)
