"""Small random networks with timers, and an independent checker that tries every input in every scan.

The checker knows nothing of solvers: it runs the interpreter from every state it has reached, with every
input and every scan time, until nothing new comes.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from itertools import product
from typing import Any

from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Type
from steadfall.scan.interpreter import Clock, Scanner

LONGEST = 2  # ms
INPUTS = ("a", "b")
NUMBER, LEAST, MOST = "n", -1, 2  # an INT input and its ends, in some of the networks
BOOL, TIME, INT = Type.BOOL, Type.TIME, Type.INT


class _Maker:
    def __init__(self, draw: Any, names: list[str]) -> None:
        self.draw, self.later, self.defined = draw, names, list(INPUTS)
        self.timers: list[str] = []
        self.ages: list[str] = []
        self.numbers: list[str] = []

    def pick(self, options: Iterable[Any]) -> Any:
        return self.draw(st.sampled_from(list(options)))

    def boolean(self, depth: int) -> Node:
        if depth == 0 or self.draw(st.integers(0, 3)) == 0:
            return self.leaf()
        kind = self.pick(["not", "and", "or", "compare", "select"])
        if kind == "not":
            return nodes.Not(self.boolean(depth - 1))
        if kind == "select":
            return nodes.Select(self.boolean(depth - 1), self.boolean(depth - 1), self.boolean(depth - 1))
        if kind == "compare":
            return self.compare()
        parts = (self.boolean(depth - 1), self.boolean(depth - 1))
        return nodes.And(parts) if kind == "and" else nodes.Or(parts)

    def leaf(self) -> Node:
        if self.draw(st.booleans()):
            return nodes.Read(self.pick(self.defined), BOOL)
        return nodes.Previous(self.pick([*INPUTS, *self.later]), BOOL)

    def compare(self) -> Node:
        op = self.pick(["<", "<=", ">", ">=", "=", "<>"])
        if self.numbers and self.draw(st.booleans()):
            return nodes.Compare(op, self.number(), nodes.Constant(self.draw(st.integers(-2, 5)), INT))
        limit = nodes.Constant(self.draw(st.integers(0, 6)), TIME)
        times: list[Node] = [nodes.Elapsed(name) for name in self.timers]
        times += [nodes.Read(name, TIME) for name in self.ages]
        if not times:
            return self.leaf()
        time = self.pick(times)
        return nodes.Compare(op, time, limit) if self.draw(st.booleans()) else nodes.Compare(op, limit, time)

    def number(self) -> Node:
        one: Node = nodes.Read(self.pick(self.numbers), INT)
        kind = self.pick(["now", "last", "sum", "difference"])
        if kind == "last":
            return nodes.Previous(self.pick(self.numbers), INT)
        other = nodes.Read(self.pick(self.numbers), INT)
        return {"now": one, "sum": nodes.Add(one, other), "difference": nodes.Subtract(one, other)}[kind]

    def counter(self) -> Node:
        """Counts up to 3 while something holds, then begins anew."""
        before = nodes.Previous("count", INT)
        more = nodes.And((nodes.Compare("<", before, nodes.Constant(3, INT)), self.boolean(1)))
        return nodes.Select(more, nodes.Add(before, nodes.Constant(1, INT)), nodes.Constant(0, INT))

    def preset(self) -> Node:
        here = nodes.Constant(self.draw(st.integers(0, 5)), TIME)
        if self.draw(st.integers(0, 4)):
            return here
        return nodes.Select(self.leaf(), here, nodes.Constant(self.draw(st.integers(0, 5)), TIME))

    def block(self) -> Node:
        kind = self.pick(["ton", "ton", "tof", "tp", "sr", "rs", "rise", "fall"])
        two: dict[str, Any] = {"ton": nodes.Ton, "tof": nodes.Tof, "tp": nodes.Tp}
        if kind in two:
            timer: Node = two[kind](self.boolean(1), self.preset())
            return timer
        latch: dict[str, Any] = {"sr": nodes.SetDominant, "rs": nodes.ResetDominant}
        if kind in latch:
            made: Node = latch[kind](self.boolean(1), self.boolean(1))
            return made
        return (nodes.Rise if kind == "rise" else nodes.Fall)(self.boolean(1))


@st.composite
def small(draw: Any) -> Network:
    """A network of a few blocks over two switches; `bad` is its last signal."""
    names = [f"s{number}" for number in range(draw(st.integers(1, 4)))]
    maker, rows = _Maker(draw, names), []
    inputs = [Input(name, BOOL) for name in INPUTS]
    if draw(st.booleans()):
        inputs.append(Input(NUMBER, INT, holds=(LEAST, MOST)))
        maker.numbers.append(NUMBER)
        if draw(st.booleans()):
            rows.append(Assignment("count", INT, maker.counter(), 0))
            maker.numbers.append("count")
    for name in names:
        node = maker.block() if draw(st.integers(0, 2)) else maker.boolean(2)
        rows.append(Assignment(name, BOOL, node, draw(st.booleans())))
        maker.defined.append(name)
        if isinstance(node, nodes.TIMERS):
            maker.timers.append(name)
        if draw(st.integers(0, 2)) == 0:
            age = f"age_{name}"
            event = draw(st.sampled_from([*INPUTS, *names]))
            rows.append(Assignment(age, TIME, nodes.Since(event, draw(st.integers(0, 6))), 0))
            maker.ages.append(age)
    if draw(st.booleans()):
        up = nodes.Mux(nodes.Previous("stage", INT), tuple(nodes.Constant(n, INT) for n in (1, 2, 2)))
        stage = nodes.Select(maker.boolean(1), up, nodes.Constant(0, INT))
        rows.append(Assignment("stage", INT, stage, 0))
        there = nodes.Compare("=", nodes.Read("stage", INT), nodes.Constant(draw(st.integers(0, 2)), INT))
        bad: Node = nodes.And((there, maker.boolean(2), maker.boolean(2)))
    else:
        bad = nodes.And((maker.boolean(2), maker.boolean(2), maker.boolean(2)))
    rows.append(Assignment("bad", BOOL, bad, False))
    return Network(tuple(inputs), tuple(rows), ())


State = tuple[Any, ...]


def moves(
    network: Network, measured: tuple[float, ...] = ()
) -> list[tuple[int, dict[str, bool | int | float]]]:
    """Every scan time with every value of every input; of a REAL input those that are given."""
    values = [
        measured
        if row.type is Type.REAL
        else range(row.holds[0], row.holds[1] + 1)
        if row.holds
        else (False, True)
        for row in network.inputs
    ]
    names = [row.name for row in network.inputs]
    times = range(1, LONGEST + 1)
    return [(dt, dict(zip(names, row, strict=True))) for dt, row in product(times, product(*values))]


def kept(run: Scanner) -> State:
    """All that one scan hands to the next."""
    clocks = tuple((name, clock.et, clock.state) for name, clock in run.clocks.items())
    return run.first, tuple(run.values.items()), clocks


def resumed(network: Network, state: State) -> Scanner:
    """An interpreter in a state."""
    run = Scanner(network)
    run.first, run.values = state[0], dict(state[1])
    run.clocks = {name: Clock(et, number) for name, et, number in state[2]}
    return run


def shortest_break(network: Network, most: int, measured: tuple[float, ...] = ()) -> int | None:
    """After how many scans `bad` can be true at the earliest; None if never; -1 where there are too many
    states.
    """
    begin = kept(Scanner(network))
    seen, queue, every = {begin}, deque([(begin, 0)]), moves(network, measured)
    while queue:
        state, depth = queue.popleft()
        for dt, inputs in every:
            run = resumed(network, state)
            if run.scan(dt, inputs)["bad"]:
                return depth + 1
            after = kept(run)
            if after not in seen:
                if len(seen) >= most:
                    return -1
                seen.add(after)
                queue.append((after, depth + 1))
    return None
