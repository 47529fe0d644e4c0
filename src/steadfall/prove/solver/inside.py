"""What terms are made of, asked of the solver's library itself.

Rule of this file: z3's Python makes an object for every part that it is asked about, and looks at its sort;
to go through all parts of all terms so took a seventh of the work of a proof. A part is good as long as
somebody holds the term that it is in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from attrs import frozen
from z3 import Z3_APP_AST
from z3.z3core import (
    Z3_get_app_arg,
    Z3_get_app_decl,
    Z3_get_app_num_args,
    Z3_get_ast_id,
    Z3_get_ast_kind,
    Z3_get_decl_kind,
)

Number = int  # of a part, as `get_id` gives it: the same for the same part


@frozen
class Inner:
    """A part of a term: its number, and what it is made of, in order."""

    number: Number
    made_of: tuple[Number, ...]
    part: Any

    def operator(self, context: Any) -> int:
        """What makes it of its parts, as z3 numbers operators."""
        return int(Z3_get_decl_kind(context, Z3_get_app_decl(context, self.part)))


def each_part(term: Any, known: Callable[[Number], bool]) -> Sequence[Inner]:
    """Every part of a term that is not known, each once and after what it is made of."""
    context = term.ctx.ref()
    found: dict[Number, Inner] = {}
    stack = [(term.get_id(), term.as_ast())]
    opened: dict[Number, list[tuple[Number, Any]]] = {}
    while stack:
        number, part = stack[-1]
        if number in found or known(number):
            stack.pop()
            continue
        if number not in opened:
            opened[number] = _parts(context, part)
            stack += [one for one in opened[number] if one[0] not in found and not known(one[0])]
            continue
        stack.pop()
        found[number] = Inner(number, tuple(one for one, _ in opened.pop(number)), part)
    return list(found.values())


def _parts(context: Any, part: Any) -> list[tuple[Number, Any]]:
    if Z3_get_ast_kind(context, part) != Z3_APP_AST:
        return []
    parts = (Z3_get_app_arg(context, part, place) for place in range(Z3_get_app_num_args(context, part)))
    return [(Z3_get_ast_id(context, one), one) for one in parts]
