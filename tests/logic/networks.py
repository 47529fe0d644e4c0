"""Random networks and traces: all node classes, all types, any nesting that is allowed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import ZERO, Assignment, Input, Network
from steadfall.logic.nodes import Node, Type, Value

T = TypeVar("T")
BOOL, TIME, INT, REAL = Type.BOOL, Type.TIME, Type.INT, Type.REAL
TYPES = list(Type)
REALS = st.one_of(
    st.sampled_from(
        [0.0, -0.0, 1.0, 100.0, 0.5, 1.5, 2.5, -2.5, 1e308, float("inf"), float("-inf"), float("nan")]
    ),
    st.floats(-1e6, 1e6),
)
MS = st.one_of(st.sampled_from([0, 10, 20, 25, 30, 100]), st.integers(-5, 200))
VALUES = {BOOL: st.booleans(), TIME: MS, INT: st.integers(-3, 8), REAL: REALS}


class _Maker:
    """Draws expressions over the signals that exist so far; remembered signals may come later."""

    def __init__(self, draw: Any, plan: list[tuple[str, Type]], inputs: list[tuple[str, Type]]) -> None:
        self.draw, self.every, self.defined = draw, [*inputs, *plan], list(inputs)
        self.timers: list[str] = []

    def leaf(self, kind: Type) -> Node:
        options: list[Callable[[], Node]] = [lambda: nodes.Constant(self.draw(VALUES[kind]), kind)]
        known = [name for name, type_ in self.defined if type_ is kind]
        if known:
            options += [lambda: nodes.Read(self.draw(st.sampled_from(known)), kind)] * 2
        ever = [name for name, type_ in self.every if type_ is kind]
        if ever:
            options += [lambda: nodes.Previous(self.draw(st.sampled_from(ever)), kind)] * 2
        if kind is TIME and self.timers:
            options.append(lambda: nodes.Elapsed(self.draw(st.sampled_from(self.timers))))
        return self.chosen(options)()

    def node(self, kind: Type, depth: int) -> Node:
        if depth == 0 or self.draw(st.integers(0, 3)) == 0:
            return self.leaf(kind)
        common: list[Callable[[Type, int], Node]] = [self.select, self.mux]
        return self.chosen([*common, *self.own(kind)])(kind, depth - 1)

    def own(self, kind: Type) -> list[Callable[[Type, int], Node]]:
        table: dict[Type, list[Callable[[Type, int], Node]]] = {
            BOOL: [self.negate, self.join, self.join, self.compare, self.compare],
            TIME: [self.to_time, self.sums],
            INT: [self.sums],
            REAL: [self.arithmetic, self.arithmetic, self.limit, self.square_root, self.to_real],
        }
        return table[kind]

    def select(self, kind: Type, depth: int) -> Node:
        return nodes.Select(self.node(BOOL, depth), self.node(kind, depth), self.node(kind, depth))

    def mux(self, kind: Type, depth: int) -> Node:
        count = self.draw(st.integers(1, 4))
        return nodes.Mux(self.node(INT, depth), tuple(self.node(kind, depth) for _ in range(count)))

    def negate(self, _: Type, depth: int) -> Node:
        return nodes.Not(self.node(BOOL, depth))

    def join(self, _: Type, depth: int) -> Node:
        parts = tuple(self.node(BOOL, depth) for _ in range(self.draw(st.integers(1, 4))))
        joiners: list[Callable[..., Node]] = [nodes.And, nodes.Or]
        return self.chosen(joiners)(parts)

    def compare(self, _: Type, depth: int) -> Node:
        kind = self.draw(st.sampled_from(TYPES))
        ops = ["=", "<>"] if kind is BOOL else ["<", "<=", ">", ">=", "=", "<>"]
        return nodes.Compare(self.draw(st.sampled_from(ops)), self.node(kind, depth), self.node(kind, depth))

    def to_time(self, _: Type, depth: int) -> Node:
        return nodes.ToTime(self.node(REAL, depth), self.draw(st.sampled_from([1, 10, 25])))

    def to_real(self, _: Type, depth: int) -> Node:
        return nodes.ToReal(self.node(self.draw(st.sampled_from([TIME, INT])), depth))

    def arithmetic(self, _: Type, depth: int) -> Node:
        classes: list[Callable[..., Node]] = [
            nodes.Add,
            nodes.Subtract,
            nodes.Multiply,
            nodes.Least,
            nodes.Greatest,
        ]
        return self.chosen(classes)(self.node(REAL, depth), self.node(REAL, depth))

    def square_root(self, _: Type, depth: int) -> Node:
        return nodes.SquareRoot(self.node(REAL, depth))

    def sums(self, kind: Type, depth: int) -> Node:
        classes: list[Callable[..., Node]] = [nodes.Add, nodes.Subtract]
        return self.chosen(classes)(self.node(kind, depth), self.node(kind, depth))

    def limit(self, _: Type, depth: int) -> Node:
        return nodes.Limit(self.node(REAL, depth), self.node(REAL, depth), self.node(REAL, depth))

    def block(self, kind: Type) -> Node:
        if kind is TIME:
            return nodes.Since(self.draw(st.sampled_from(self.bools())), abs(self.draw(MS)))
        made: Any = self.chosen([n for n in nodes.BLOCKS if n is not nodes.Since])
        if made in nodes.TIMERS:
            return self.built(made, BOOL, TIME)
        if made in (nodes.Rise, nodes.Fall):
            return self.built(made, BOOL)
        return self.built(made, BOOL, BOOL)

    def built(self, made: Callable[..., Node], *types: Type) -> Node:
        return made(*(self.node(kind, 2) for kind in types))

    def chosen(self, options: list[T]) -> T:
        found: T = self.draw(st.sampled_from(options))
        return found

    def bools(self) -> list[str]:
        return [name for name, type_ in self.every if type_ is BOOL]


@st.composite
def networks(draw: Any) -> Network:
    """A sound network of up to a dozen assignments."""
    inputs = [("in_bool", BOOL), ("in_time", TIME), ("in_int", INT), ("in_real", REAL)]
    plan = [
        (f"s{place}", draw(st.sampled_from([BOOL, BOOL, *TYPES])))
        for place in range(draw(st.integers(1, 12)))
    ]
    maker = _Maker(draw, plan, inputs)
    rows = []
    for name, kind in plan:
        is_block = kind in (BOOL, TIME) and draw(st.booleans())
        node = maker.block(kind) if is_block else maker.node(kind, 3)
        initial = draw(st.sampled_from([ZERO[kind], draw(VALUES[kind])]))
        rows.append(Assignment(name, kind, node, abs(initial) if isinstance(node, nodes.Since) else initial))
        maker.defined.append((name, kind))
        if isinstance(node, nodes.TIMERS):
            maker.timers.append(name)
    return Network(tuple(Input(*row) for row in inputs), tuple(rows), ())


DT = st.one_of(st.sampled_from([0, 1, 10, 20, 40]), st.integers(0, 200), st.sampled_from([10**7, 2**40]))
INPUTS = st.fixed_dictionaries(
    {}, optional={"in_bool": st.booleans(), "in_time": MS, "in_int": VALUES[INT], "in_real": REALS}
)
TRACES: st.SearchStrategy[list[tuple[int, dict[str, Value]]]] = st.lists(
    st.tuples(DT, INPUTS), min_size=1, max_size=15
)
