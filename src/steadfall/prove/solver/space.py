"""Where the terms of one question live: its symbols, its constants, its solvers.

Rule of this file: a space knows nothing of another one. So an answer follows from the question and its budget
alone, and not from what was asked before it in the same process.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

import z3
from attrs import field, frozen


@frozen(eq=False)
class Space:
    """A place for terms; terms of two spaces cannot be joined."""

    context: Any = field(factory=z3.Context, repr=False)

    def boolean(self, name: str) -> Any:
        """A symbol that is true or false."""
        return z3.Bool(name, self.context)

    def whole(self, name: str) -> Any:
        """A symbol that is a whole number."""
        return z3.Int(name, self.context)

    def symbol(self, name: str, like: bool | int | float) -> Any:
        """A symbol for values of this kind."""
        if isinstance(like, bool):
            return self.boolean(name)
        return self.whole(name) if isinstance(like, int) else z3.Real(name, self.context)

    def value(self, value: bool | int | float) -> Any:
        """A value as a term; a float is exactly the number that it is."""
        if isinstance(value, bool):
            return z3.BoolVal(value, self.context)
        if isinstance(value, int):
            return z3.IntVal(value, self.context)
        exact = Fraction(value)
        return self.fraction(exact.numerator, exact.denominator)

    def fraction(self, above: int, below: int) -> Any:
        """A real number."""
        return z3.RealVal(f"{above}/{below}", self.context)

    def all_of(self, parts: Iterable[Any]) -> Any:
        """That all of this is so, also where it is nothing."""
        found = list(parts)
        return z3.And(found) if found else self.value(True)

    def read(self, text: str, symbols: Iterable[Any]) -> Any:
        """A term written in SMT-LIB over some symbols."""
        names: Mapping[str, Any] = {str(symbol): symbol for symbol in symbols}
        return self.all_of(z3.parse_smt2_string(f"(assert {text})", decls=names, ctx=self.context))
