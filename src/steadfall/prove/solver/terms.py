"""The language of terms: what may be said of symbols, to any solver's ear.

Rule of this file: names only. Symbols and constants are made in a `Space`; what stands here joins them and
looks at them.
"""

from __future__ import annotations

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
    "substitute",
]
