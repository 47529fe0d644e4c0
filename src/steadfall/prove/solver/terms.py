"""The language of terms: what may be said of symbols, to any solver's ear.

Rule of this file: names only. Symbols and constants are made in a `Space`; what stands here joins them and
looks at them.
"""

from __future__ import annotations

from typing import Any

from z3 import (
    And,
    BoolRef,
    Const,
    If,
    Implies,
    Not,
    Or,
    Sum,
    ToInt,
    ToReal,
    is_bool,
    is_const,
    is_expr,
    is_false,
    is_int,
    is_int_value,
    is_real,
    is_true,
    simplify,
    substitute,
)

__all__ = [
    "And",
    "BoolRef",
    "Const",
    "If",
    "Implies",
    "Not",
    "Or",
    "Sum",
    "ToInt",
    "ToReal",
    "is_bool",
    "is_const",
    "is_expr",
    "is_false",
    "is_int",
    "is_int_value",
    "is_real",
    "is_true",
    "simplify",
    "sorted_out",
    "substitute",
    "symbols",
]


def sorted_out(term: Any) -> Any:
    """The same term in a form that many ways to write it have in common."""
    return simplify(term, elim_and=True, sort_sums=True)


def symbols(term: Any, numbers: dict[int, int], known: dict[int, int]) -> int:
    """Which symbols a term has, as bits. `numbers`: the bit of each by its id; `known`: what was found."""
    stack = [term]
    while stack:
        one = stack[-1]
        parts = [] if one.get_id() in known else one.children()
        waiting = [part for part in parts if part.get_id() not in known]
        if waiting:
            stack += waiting
            continue
        stack.pop()
        found = numbers.get(one.get_id(), 0)
        for part in parts:
            found |= known[part.get_id()]
        known.setdefault(one.get_id(), found)
    return known[term.get_id()]
