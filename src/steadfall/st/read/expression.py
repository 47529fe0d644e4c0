"""Expressions of structured text as nodes: a table keyed by phrase.

Rule of this file: types must fit; a whole number becomes a REAL where a REAL stands beside it, and 0 or 1 a
BOOL; what two constants give is worked out here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Protocol

from attrs import frozen

from steadfall.comparisons import HOLDS
from steadfall.logic import nodes
from steadfall.logic.forms import all_of, any_of
from steadfall.logic.network import ZERO
from steadfall.logic.nodes import LARGEST, Constant, Node, Type, Value
from steadfall.logic.types import children
from steadfall.source import Mark
from steadfall.st.read.literal import duration, real, typed, whole
from steadfall.st.read.space import UnreadableError, negation
from steadfall.st.read.text import Part, place

AT_ONCE = 24  # operations within each other in one row
BOOL, INT, REAL, TIME = Type.BOOL, Type.INT, Type.REAL, Type.TIME


@frozen
class Quotient:
    """A changing value divided by a constant: only rounding it to a time can be read."""

    part: Node
    divisor: float


@frozen
class Rounded:
    """A quotient rounded to a whole number: only a multiple of a time can be made of it."""

    quotient: Quotient


Found = Node | Quotient | Rounded


class Frame(Protocol):
    """Where an expression stands: how its variables are found."""

    @property
    def name(self) -> str:
        """Of the text."""

    def variable(self, part: Part) -> Node:
        """What a variable holds."""

    def call(self, part: Part) -> Found:
        """What a function gives."""

    def step(self, kind: Type, node: Node, mark: Mark) -> Node:
        """A word for what has been worked out so far."""


def found(part: Part, frame: Frame) -> Found:
    """What an expression means; of one with many operations within each other, the word of a step."""
    made = PHRASES[part.data](part, frame)
    if isinstance(made, Quotient | Rounded) or not _deeper(made, AT_ONCE):
        return made
    return frame.step(kind_of(made), made, place(part, frame.name))


def _deeper(value: Node, levels: int) -> bool:
    """Whether there are more than so many operations within each other."""
    return levels < 0 or any(_deeper(part, levels - 1) for part in children(value))


def node(part: Part, frame: Frame) -> Node:
    """The node of an expression."""
    return whole_value(found(part, frame), place(part, frame.name))


def whole_value(value: Found, mark: Mark) -> Node:
    """A value that is no quotient."""
    if isinstance(value, Quotient | Rounded):
        raise UnreadableError(
            mark,
            "division",
            "a changing value is divided",
            "a multiplication by the reciprocal",
        )
    return value


def wanted(part: Part, frame: Frame, kind: Type) -> Node:
    """The node of an expression, in this type."""
    return fit(node(part, frame), kind, place(part, frame.name))


_KINDS: Mapping[type[Node], Callable[[Any], Type]] = {
    **dict.fromkeys((nodes.Constant, nodes.Read, nodes.Previous), lambda row: row.type),
    **dict.fromkeys((nodes.Not, nodes.And, nodes.Or, nodes.Compare), lambda _: BOOL),
    **dict.fromkeys((nodes.Elapsed, nodes.ToTime), lambda _: TIME),
    nodes.Select: lambda row: kind_of(row.then),
    nodes.Mux: lambda row: kind_of(row.entries[0]),
    **dict.fromkeys((nodes.Add, nodes.Subtract), lambda row: kind_of(row.left)),
}


def kind_of(value: Node) -> Type:
    """The type of a node whose parts are known to fit."""
    rule = _KINDS.get(type(value))
    return rule(value) if rule else REAL


def fit(value: Node, kind: Type, mark: Mark) -> Node:
    """A node in the type that is wanted, where that can be without loss."""
    own = kind_of(value)
    if own is kind:
        return value
    if own is INT and isinstance(value, Constant):
        if kind is REAL:
            return Constant(float(value.value), REAL, mark=value.mark)
        if kind is BOOL and value.value in (0, 1):
            return Constant(bool(value.value), BOOL, mark=value.mark)
    if own is INT and kind is REAL:
        return nodes.ToReal(value, mark=mark)
    raise UnreadableError(mark, "type", f"a {own.value} stands where a {kind.value} is wanted")


def alike(values: Sequence[Node], mark: Mark) -> tuple[Type, list[Node]]:
    """Values brought to one type."""
    kinds = [kind_of(value) for value in values]
    if len(set(kinds)) == 1 and kinds[0] is INT:
        return INT, list(values)
    best = next((kind for kind in (REAL, TIME, BOOL) if kind in kinds), INT)
    return best, [fit(value, best, mark) for value in values]


def _literal(read: Callable[[str], Value], kind: Type) -> Callable[[Part, Frame], Node]:
    def made(part: Part, frame: Frame) -> Node:
        mark = place(part, frame.name)
        return Constant(_read(read, part, mark), kind, mark=mark)

    return made


def _read(read: Callable[[str], Any], part: Part, mark: Mark) -> Any:
    said = str(part.children[0])
    try:
        value = read(said)
    except ValueError as error:
        raise UnreadableError(mark, "value", f"'{said[:40]}' cannot be read", str(error)) from None
    return value


def _typed(part: Part, frame: Frame) -> Node:
    made: Node = _read(typed, part, place(part, frame.name))
    return made


def _text(part: Part, frame: Frame) -> Node:
    raise UnreadableError(place(part, frame.name), "type", "a text is outside what Steadfall reads")


def _bools(join: Callable[[list[Node]], Node]) -> Callable[[Part, Frame], Node]:
    def made(part: Part, frame: Frame) -> Node:
        parts = [wanted(child, frame, BOOL) for child in part.children if hasattr(child, "data")]
        return join(list(dict.fromkeys(parts)))

    return made


def _xor(part: Part, frame: Frame) -> Node:
    first, *rest = (wanted(child, frame, BOOL) for child in part.children)
    mark = place(part, frame.name)
    for number, value in enumerate(rest, 1):
        if number % AT_ONCE == 0:
            first = frame.step(BOOL, first, mark)
        first = compare("<>", first, value, mark)
    return first


def compare(op: str, left: Node, right: Node, mark: Mark) -> Node:
    """Two values compared."""
    kind, (left, right) = alike((left, right), mark)
    if kind is BOOL and op not in ("=", "<>"):
        raise UnreadableError(mark, "type", f"two BOOL cannot be compared with '{op}'")
    if isinstance(left, Constant) and isinstance(right, Constant):
        return Constant(HOLDS[op](left.value, right.value), BOOL, mark=mark)
    if kind is BOOL and isinstance(left, Constant):
        left, right = right, left
    if kind is BOOL and isinstance(right, Constant):
        return left if right.value == (op == "=") else negation(left)
    return nodes.Compare(op, left, right, mark=mark)


def _compare(part: Part, frame: Frame) -> Node:
    left, op, right = part.children
    return compare(str(op), node(left, frame), node(right, frame), place(part, frame.name))


def _sign(part: Part, frame: Frame) -> Node:
    sign, inner = part.children
    value, mark = node(inner, frame), place(part, frame.name)
    if kind_of(value) is BOOL:
        raise UnreadableError(mark, "type", "a BOOL has no sign")
    return value if str(sign) == "+" else negative(value, mark)


def negative(value: Node, mark: Mark) -> Node:
    """The opposite of a number."""
    kind = kind_of(value)
    if isinstance(value, Constant):
        return Constant(-value.value, kind, mark=mark)
    if kind is REAL:
        return nodes.Multiply(value, Constant(-1.0, REAL), mark=mark)
    return nodes.Subtract(Constant(ZERO[kind], kind), value, mark=mark)


def _arithmetic(part: Part, frame: Frame) -> Found:
    """A chain of sums or products, from the left; a long one in steps."""
    first, chain = chained(part)
    mark = place(first, frame.name)
    made = found(first, frame)
    for number, (op, right) in enumerate(chain, 1):
        left = whole_value(made, mark)
        if number % AT_ONCE == 0:
            left = frame.step(kind_of(left), left, mark)
        made = arithmetic(op, left, node(right, frame), mark)
    return made


def chained(part: Part) -> tuple[Part, list[tuple[str, Part]]]:
    """What a chain begins with, and each operation after it; a chain stands in the tree to its left."""
    chain: list[tuple[str, Part]] = []
    while part.data == "arithmetic":
        part, op, right = part.children
        chain.append((str(op).upper(), right))
    return part, chain[::-1]


def arithmetic(op: str, left: Node, right: Node, mark: Mark) -> Found:
    """A sum, difference, product or quotient."""
    kinds = {kind_of(left), kind_of(right)}
    if BOOL in kinds:
        raise UnreadableError(mark, "type", f"'{op}' needs numbers and got a BOOL")
    if op == "*" and TIME in kinds:
        return _times(left, right, mark)
    if op not in ARITHMETIC:
        raise UnreadableError(mark, "syntax", f"'{op}' is outside what Steadfall reads")
    kind, (left, right) = alike((left, right), mark)
    if isinstance(left, Constant) and isinstance(right, Constant):
        return _worked_out(op, left, right, kind, mark)
    return ARITHMETIC[op](left, right, kind, mark)


def _worked_out(op: str, left: Constant, right: Constant, kind: Type, mark: Mark) -> Node:
    a, b = left.value, right.value
    if op in ("/", "MOD") and b == 0:
        raise UnreadableError(mark, "division", "a division by zero")
    if kind is TIME and op in ("/", "MOD"):
        raise UnreadableError(mark, "type", "a time cannot be divided by a time")
    cut: Any = (
        abs(a) // abs(b) * (1 if (a < 0) == (b < 0) else -1) if kind is INT and op in ("/", "MOD") else 0
    )
    sums: dict[str, Any] = {"+": a + b, "-": a - b, "*": a * b, "MOD": a - cut * b}
    value = sums[op] if op in sums else cut if kind is INT else a / b
    if kind is not REAL and abs(value) > LARGEST:
        raise UnreadableError(mark, "value", "a number beyond what a controller can hold")
    if kind is REAL and op == "MOD":
        raise UnreadableError(mark, "type", "MOD needs whole numbers")
    return Constant(value, kind, mark=mark)


def _times(left: Node, right: Node, mark: Mark) -> Node:
    if kind_of(left) is not TIME:
        left, right = right, left
    return multiple(left, right, mark)


def multiple(time: Node, factor: Found, mark: Mark) -> Node:
    """A time so many times: of constants, or a constant step as often as a rounded value says."""
    if (
        isinstance(time, Constant)
        and isinstance(factor, Rounded)
        and factor.quotient.divisor == float(time.value)
    ):
        if 1 <= time.value <= 1000:
            return nodes.ToTime(factor.quotient.part, int(time.value), mark=mark)
    elif isinstance(time, Constant) and isinstance(factor, Constant) and factor.type in (INT, REAL):
        value = time.value * factor.value
        if abs(value) <= LARGEST and value == int(value):
            return Constant(int(value), TIME, mark=mark)
    raise UnreadableError(
        mark,
        "type",
        "this multiple of a time is beyond what a controller holds or Steadfall reads",
        "constants, or a rounding to a step",
        "MUL_TIME(T#10ms, REAL_TO_DINT(x / 10.0))",
    )


def _sum(made: Callable[..., Node]) -> Callable[[Node, Node, Type, Mark], Node]:
    return lambda left, right, _kind, mark: made(left, right, mark=mark)


def _product(left: Node, right: Node, kind: Type, mark: Mark) -> Node:
    one = Constant(1.0, REAL)
    if one in (left, right):
        return right if left == one else left
    if kind is not REAL:
        raise UnreadableError(mark, "type", "a product of changing whole numbers", "REAL")
    return nodes.Multiply(left, right, mark=mark)


def _quotient(left: Node, right: Node, kind: Type, mark: Mark) -> Found:
    if kind is REAL and isinstance(right, Constant) and right.value:
        return left if right.value == 1.0 else Quotient(left, float(right.value))
    raise UnreadableError(
        mark, "division", "this division is outside what Steadfall reads", "a constant divisor, REAL"
    )


def _modulo(_left: Node, _right: Node, _kind: Type, mark: Mark) -> Found:
    raise UnreadableError(
        mark, "division", "MOD of a changing value is outside what Steadfall reads", "a comparison"
    )


ARITHMETIC: Mapping[str, Callable[[Node, Node, Type, Mark], Found]] = {
    "+": _sum(nodes.Add),
    "-": _sum(nodes.Subtract),
    "*": _product,
    "/": _quotient,
    "MOD": _modulo,
}

PHRASES: Mapping[str, Callable[[Part, Frame], Found]] = {
    "integer": _literal(whole, INT),
    "based": _literal(whole, INT),
    "decimal": _literal(real, REAL),
    "duration": _literal(duration, TIME),
    "truth": _literal(lambda said: said.upper() == "TRUE", BOOL),
    "typed": _typed,
    "text": _text,
    "or_": _bools(any_of),
    "and_": _bools(all_of),
    "xor": _xor,
    "not_": lambda part, frame: negation(wanted(part.children[1], frame, BOOL)),
    "compare": _compare,
    "arithmetic": _arithmetic,
    "sign": _sign,
    "negative": lambda part, frame: negative(node(part.children[0], frame), place(part, frame.name)),
    "variable": lambda part, frame: frame.variable(part),
    "call": lambda part, frame: frame.call(part),
}
