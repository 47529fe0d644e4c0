"""The standard functions that can be read: a table keyed by name.

Rule of this file: every argument is worked out, as the standard says; a function without a row is a problem.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from steadfall.logic import nodes
from steadfall.logic.forms import all_of, any_of, choose
from steadfall.logic.nodes import LARGEST, Constant, Node, Type
from steadfall.source import Mark
from steadfall.st.read.expression import (
    AT_ONCE,
    Found,
    Quotient,
    Rounded,
    alike,
    arithmetic,
    compare,
    fit,
    kind_of,
    multiple,
)
from steadfall.st.read.space import UnreadableError, negation

BOOL, INT, REAL, TIME = Type.BOOL, Type.INT, Type.REAL, Type.TIME
Given = Sequence[Found]
Step = Callable[[Type, Node, Mark], Node]  # a word for what has been worked out so far
MOST = 256


def function(name: str, given: Given, mark: Mark, step: Step) -> Found:
    """What a standard function gives for these arguments."""
    key = name.upper()
    row = FUNCTIONS.get(key)
    if row is None:
        raise UnreadableError(mark, "function", f"'{name}' is no function that Steadfall reads")
    least, most, made = row
    if not least <= len(given) <= most:
        raise UnreadableError(mark, "arguments", f"{name} with {len(given)} arguments", f"{least} to {most}")
    if key not in ROUNDING and any(isinstance(value, Quotient | Rounded) for value in given):
        raise UnreadableError(
            mark, "division", "a changing value is divided", "a multiplication by the reciprocal"
        )
    if key in REPEATING:
        given = [_short(value, mark, step) for value in _nodes(given)]
    if key in CHAINS and len(given) > 2:
        return _in_turn(made, _nodes(given), mark, step, 1 if key in REPEATING else AT_ONCE)
    return made(given, mark)


def _short(value: Node, mark: Mark, step: Step) -> Node:
    """A word for a whole number or a time, which is compared and then chosen."""
    kind = kind_of(value)
    return step(kind, value, mark) if kind in (INT, TIME) else value


def _in_turn(
    made: Callable[[Given, Mark], Found], values: Sequence[Node], mark: Mark, step: Step, at_once: int
) -> Node:
    """What two give, then what that gives with the next one, and so on; so many in one row."""
    first, *rest = values
    for number, value in enumerate(rest):
        if number and number % at_once == 0:
            first = step(kind_of(first), first, mark)
        (first,) = _nodes([made((first, value), mark)])
    return first


def _nodes(given: Given) -> list[Node]:
    return [value for value in given if not isinstance(value, Quotient | Rounded)]


def _sel(given: Given, mark: Mark) -> Node:
    when, no, yes = _nodes(given)
    _, (no, yes) = alike((no, yes), mark)
    return choose(fit(when, BOOL, mark), yes, no)


def _mux(given: Given, mark: Mark) -> Node:
    index, *entries = _nodes(given)
    index = fit(index, INT, mark)
    _, entries = alike(entries, mark)
    index = _bare(index, len(entries) - 1, mark)
    if isinstance(index, Constant):
        return entries[min(max(int(index.value), 0), len(entries) - 1)]
    return nodes.Mux(index, tuple(entries), mark=mark)


def _bare(index: Node, last: int, mark: Mark) -> Node:
    """The index within LIMIT(0, index, last): a look-up keeps to its entries of itself."""
    inner = index.then if isinstance(index, nodes.Select) else None
    bare = inner.then if isinstance(inner, nodes.Select) else None
    ends = Constant(0, INT), Constant(last, INT)
    return bare if bare is not None and _limit((ends[0], bare, ends[1]), mark) == index else index


def _extreme(op: str, made: Callable[..., Node]) -> Callable[[Given, Mark], Node]:
    def written(given: Given, mark: Mark) -> Node:
        kind, (best, *rest) = alike(_nodes(given), mark)
        if kind is BOOL:
            raise UnreadableError(mark, "type", "MIN and MAX need numbers")
        for value in rest:
            best = (
                made(best, value, mark=mark)
                if kind is REAL
                else choose(compare(op, best, value, mark), best, value)
            )
        return best

    return written


def _limit(given: Given, mark: Mark) -> Node:
    kind, (low, value, high) = alike(_nodes(given), mark)
    if kind is REAL:
        return nodes.Limit(low, value, high, mark=mark)
    raised = FUNCTIONS["MAX"][2]((value, low), mark)
    least: Node = FUNCTIONS["MIN"][2]((raised, high), mark)  # type: ignore[assignment]
    return least


def _chain(op: str) -> Callable[[Given, Mark], Found]:
    def written(given: Given, mark: Mark) -> Found:
        left, right = _nodes(given)
        return arithmetic(op, left, right, mark)

    return written


def _ordered(op: str) -> Callable[[Given, Mark], Node]:
    def written(given: Given, mark: Mark) -> Node:
        values = _nodes(given)
        return all_of([compare(op, a, b, mark) for a, b in pairwise(values)])

    return written


def _joined(join: Callable[[list[Node]], Node]) -> Callable[[Given, Mark], Node]:
    return lambda given, mark: join([fit(value, BOOL, mark) for value in _nodes(given)])


def _xor(given: Given, mark: Mark) -> Node:
    first, *rest = [fit(value, BOOL, mark) for value in _nodes(given)]
    for value in rest:
        first = compare("<>", first, value, mark)
    return first


def _time_to_real(given: Given, mark: Mark) -> Node:
    value = fit(_nodes(given)[0], TIME, mark)
    return (
        Constant(float(value.value), REAL) if isinstance(value, Constant) else nodes.ToReal(value, mark=mark)
    )


def _round_short(given: Given, mark: Mark) -> Found:
    """Only a constant: nothing tells whether a changing REAL keeps within an INT."""
    if not isinstance(given[0], Constant):
        raise UnreadableError(mark, "function", "a changing value rounded to an INT", "REAL_TO_DINT")
    return _round(given, mark)


def _round(given: Given, mark: Mark) -> Found:
    value = given[0]
    if isinstance(value, Quotient):
        return Rounded(value)
    if isinstance(value, Constant) and value.type is REAL and abs(float(value.value)) <= LARGEST:
        return Constant(round(float(value.value)), INT, mark=mark)
    if not isinstance(value, Constant | Rounded) and kind_of(value) is REAL:
        return Rounded(Quotient(value, 1.0))
    raise UnreadableError(
        mark,
        "function",
        "this rounding is outside what Steadfall reads",
        "one to a step of time",
        "MUL_TIME(T#10ms, REAL_TO_DINT(x / 10.0))",
    )


def _mul_time(given: Given, mark: Mark) -> Node:
    time, factor = given
    if isinstance(time, Quotient | Rounded) or isinstance(factor, Quotient):
        raise UnreadableError(mark, "type", "MUL_TIME needs a time and a number")
    return multiple(fit(time, TIME, mark), factor, mark)


def _absolute(given: Given, mark: Mark) -> Node:
    value = fit(_nodes(given)[0], REAL, mark)
    return nodes.Greatest(value, nodes.Subtract(Constant(0.0, REAL), value), mark=mark)


def _square_root(given: Given, mark: Mark) -> Node:
    """Only of what is never below 0: environments differ in what they make of the rest."""
    value = fit(_nodes(given)[0], REAL, mark)
    if isinstance(value, Constant) and float(value.value) >= 0.0:
        return Constant(math.sqrt(float(value.value)), REAL, mark=mark)
    if isinstance(value, nodes.Greatest) and value.right == Constant(0.0, REAL):
        return nodes.SquareRoot(value.left, mark=mark)
    if not _never_below_nothing(value):
        read = "the square root of a value that may be below 0"
        raise UnreadableError(mark, "function", read, "one that is kept at 0 or above", "SQRT(MAX(x, 0.0))")
    return nodes.SquareRoot(value, mark=mark)


def _never_below_nothing(value: Node) -> bool:
    if isinstance(value, Constant):
        return float(value.value) >= 0.0
    if isinstance(value, nodes.Select):
        return _never_below_nothing(value.then) and _never_below_nothing(value.otherwise)
    if isinstance(value, nodes.Greatest):  # the right one where they cannot be compared
        return _never_below_nothing(value.right)
    if isinstance(value, nodes.Limit):
        return _never_below_nothing(value.low) and _never_below_nothing(value.high)
    return isinstance(value, nodes.SquareRoot)


def _as(kind: Type) -> Callable[[Given, Mark], Node]:
    return lambda given, mark: fit(_nodes(given)[0], kind, mark)


def _of_bool(one: Constant, zero: Constant) -> Callable[[Given, Mark], Node]:
    return lambda given, mark: choose(fit(_nodes(given)[0], BOOL, mark), one, zero)


def _same_type(given: Given, mark: Mark) -> Node:
    value = _nodes(given)[0]
    return fit(value, kind_of(value), mark)


ROUNDING = ("REAL_TO_DINT", "REAL_TO_INT", "LREAL_TO_DINT", "MUL_TIME", "MULTIME")
CHAINS = ("MAX", "MIN", "ADD", "MUL", "XOR")  # of as many arguments as one likes: two, then the next
REPEATING = ("MAX", "MIN", "LIMIT")  # what they are given stands in them more than once
_WHOLE = ("SINT", "INT", "DINT", "LINT", "USINT", "UINT", "UDINT")

# name -> least and most arguments, and what it gives
FUNCTIONS: Mapping[str, tuple[int, int, Callable[[Given, Mark], Found]]] = {
    "SEL": (3, 3, _sel),
    "MUX": (2, MOST, _mux),
    "LIMIT": (3, 3, _limit),
    "MAX": (1, MOST, _extreme(">", nodes.Greatest)),
    "MIN": (1, MOST, _extreme("<", nodes.Least)),
    "ABS": (1, 1, _absolute),
    "SQRT": (1, 1, _square_root),
    "MOVE": (1, 1, _same_type),
    "NOT": (1, 1, lambda given, mark: negation(fit(_nodes(given)[0], BOOL, mark))),
    "AND": (1, MOST, _joined(all_of)),
    "OR": (1, MOST, _joined(any_of)),
    "XOR": (1, MOST, _xor),
    "ADD": (2, MOST, _chain("+")),
    "SUB": (2, 2, _chain("-")),
    "MUL": (2, MOST, _chain("*")),
    "DIV": (2, 2, _chain("/")),
    "ADD_TIME": (2, 2, _chain("+")),
    "SUB_TIME": (2, 2, _chain("-")),
    "GT": (2, MOST, _ordered(">")),
    "GE": (2, MOST, _ordered(">=")),
    "EQ": (2, MOST, _ordered("=")),
    "LE": (2, MOST, _ordered("<=")),
    "LT": (2, MOST, _ordered("<")),
    "NE": (2, 2, _ordered("<>")),
    "TIME_TO_REAL": (1, 1, _time_to_real),
    "TIME_TO_LREAL": (1, 1, _time_to_real),
    **{f"{kind}_TO_{real}": (1, 1, _as(REAL)) for kind in _WHOLE for real in ("REAL", "LREAL")},
    **{f"{kind}_TO_{other}": (1, 1, _as(INT)) for kind in _WHOLE for other in _WHOLE if kind != other},
    **{f"BOOL_TO_{kind}": (1, 1, _of_bool(Constant(1, INT), Constant(0, INT))) for kind in _WHOLE},
    **dict.fromkeys(("REAL_TO_DINT", "LREAL_TO_DINT"), (1, 1, _round)),
    "REAL_TO_INT": (1, 1, _round_short),
    **dict.fromkeys(("MUL_TIME", "MULTIME"), (2, 2, _mul_time)),
}

# Names of the inputs, in order, where a text may give them by name.
NAMED: Mapping[str, tuple[str, ...]] = {
    "SEL": ("G", "IN0", "IN1"),
    "LIMIT": ("MN", "IN", "MX"),
    "ADD": ("IN1", "IN2"),
    "SUB": ("IN1", "IN2"),
    "MUL": ("IN1", "IN2"),
    "MIN": ("IN1", "IN2"),
    "MAX": ("IN1", "IN2"),
}
