"""Terms taken apart: every part once, what it is, and the parts that it is made of.

Rule of this file: what does not hang on the order of its parts is marked, since the solver keeps the order in
which they happened to be written.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from typing import Any

import z3
from attrs import frozen

from steadfall.prove.solver.inside import Inner, Number, each_part

ANY_ORDER = frozenset({z3.Z3_OP_AND, z3.Z3_OP_OR, z3.Z3_OP_EQ, z3.Z3_OP_DISTINCT, z3.Z3_OP_ADD, z3.Z3_OP_MUL})


@frozen
class Part:
    """A part of some terms: what it is; places of what it is made of; whether their order counts."""

    what: int  # an operator; a symbol by its number
    made_of: tuple[int, ...]
    ordered: bool


@frozen
class Outline:
    """All parts of some terms, what each is made of before it, and the places of the terms themselves."""

    parts: Sequence[Part]
    terms: Sequence[int]

    def numbers(self, known: Mapping[int, Hashable]) -> list[int]:
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
    places: dict[Number, int] = {}
    parts: list[Part] = []
    for term in terms:
        for one in each_part(term, places.__contains__):
            places[one.number] = len(parts)
            parts.append(_part(one, one.operator(term.ctx.ref()), [places[number] for number in one.made_of]))
    return Outline(parts, [places[term.get_id()] for term in terms])


def _part(one: Inner, operator: int, made_of: Sequence[int]) -> Part:
    return Part(operator if made_of else one.number, tuple(made_of), operator not in ANY_ORDER)
