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

from steadfall.prove.solver.inside import each_part

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
    for one in each_part(term, known.__contains__):
        found = numbers.get(one.number, 0)
        for part in one.made_of:
            found |= known[part]
        known[one.number] = found
    return known[term.get_id()]
