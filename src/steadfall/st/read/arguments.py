"""The arguments of a call, by name or by place, each brought to the type of its input."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from steadfall.logic.nodes import Node, Type
from steadfall.plan.problems import did_you_mean, listed
from steadfall.source import Mark
from steadfall.st.read.expression import Frame, wanted
from steadfall.st.read.space import UnreadableError
from steadfall.st.read.text import Tree, place


def bind(
    arguments: Sequence[Tree], inputs: Mapping[str, Type], frame: Frame, mark: Mark, callee: str
) -> dict[str, tuple[Node, Mark]]:
    """What a call gives each input (small letters); results (`Q => x`) are left out."""
    found: dict[str, tuple[Node, Mark]] = {}
    order = list(inputs)
    by_place = [argument for argument in arguments if argument.data == "placed_argument"]
    if len(by_place) > len(order):
        raise UnreadableError(
            mark, "arguments", f"{callee} with {len(by_place)} arguments", f"at most {len(order)}"
        )
    if by_place and len(by_place) != len(arguments):
        raise UnreadableError(
            mark, "arguments", f"{callee}: arguments by name and by place", "one or the other"
        )
    for name, argument in zip(order, by_place, strict=False):
        found[name] = wanted(argument.children[0], frame, inputs[name]), place(argument, frame.name)
    for argument in arguments:
        if argument.data == "named_argument":
            name, where = str(argument.children[0]).lower(), place(argument, frame.name)
            if name not in inputs or name in found:
                read = f"{callee} has no input '{name}'" if name not in inputs else f"'{name}' is given twice"
                raise UnreadableError(where, "arguments", read + did_you_mean(name, order), listed(order))
            found[name] = wanted(argument.children[1], frame, inputs[name]), where
    return found
