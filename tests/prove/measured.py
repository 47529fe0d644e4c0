"""Small random networks that work with measured values, and an independent checker that tries everything.

What is measured takes a few whole numbers; what is compared with lies half-way between what arithmetic can
make of them, so that nothing depends on how a number is rounded.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Type

BOOL, TIME, REAL = Type.BOOL, Type.TIME, Type.REAL
TWO: dict[str, Any] = {
    "add": nodes.Add,
    "subtract": nodes.Subtract,
    "least": nodes.Least,
    "greatest": nodes.Greatest,
}
MEASURED = (0.0, 1.0, 3.0)  # all that the checker lets a sensor say; the solver lets it say anything


def real(value: float) -> nodes.Constant:
    return nodes.Constant(value, REAL)


@st.composite
def measured(draw: Any) -> Network:
    """A switch and a sensor, a value that is held, one that is worked out, a timer; `bad` is the last
    signal.
    """

    def value(depth: int, names: tuple[str, ...]) -> Node:
        if depth == 0 or draw(st.integers(0, 3)) == 0:
            return nodes.Read(draw(st.sampled_from(names)), REAL)
        kind = draw(st.sampled_from([*TWO, "double", "limit", "time"]))
        one = value(depth - 1, names)
        if kind == "time":
            return nodes.Add(one, nodes.ToReal(nodes.Elapsed("timer")))
        if kind == "double":
            return nodes.Multiply(one, real(2.0))
        if kind == "limit":
            return nodes.Limit(real(0.0), one, real(4.0))
        other = value(depth - 1, names)
        two: dict[str, Any] = {
            "add": nodes.Add,
            "subtract": nodes.Subtract,
            "least": nodes.Least,
            "greatest": nodes.Greatest,
        }
        made: Node = two[kind](one, other)
        return made

    def condition(names: tuple[str, ...]) -> Node:
        kind = draw(st.sampled_from(["compare", "compare", "switch", "last", "timer", "rounded"]))
        if kind == "switch":
            return nodes.Read("switch", BOOL)
        if kind == "last":
            return nodes.Previous("latched", BOOL)
        if kind == "timer":
            return nodes.Read("timer", BOOL)
        if kind == "rounded":
            whole = nodes.ToTime(nodes.Multiply(value(1, names), real(2.0)), 2)
            return nodes.Compare(
                draw(st.sampled_from(["<", ">="])), whole, nodes.Constant(draw(st.integers(0, 9)), TIME)
            )
        op = draw(st.sampled_from(["<", "<=", ">", ">="]))
        return nodes.Compare(op, value(2, names), real(draw(st.integers(-3, 9)) + 0.5))

    hold = draw(st.sampled_from([nodes.Read("switch", BOOL), nodes.Previous("latched", BOOL)]))
    preset = nodes.Constant(draw(st.integers(1, 4)), TIME)
    rows = [
        Assignment("timer", BOOL, nodes.Ton(nodes.Read("switch", BOOL), preset), False),
        Assignment(
            "held", REAL, nodes.Select(hold, nodes.Previous("held", REAL), nodes.Read("sensor", REAL)), 0.0
        ),
        Assignment("made", REAL, value(2, ("sensor", "held")), 0.0),
    ]
    names = ("sensor", "held", "made")
    latch = draw(st.sampled_from([nodes.SetDominant, nodes.ResetDominant]))
    rows.append(Assignment("latched", BOOL, latch(condition(names), condition(names)), draw(st.booleans())))
    bad = nodes.And((nodes.Read("latched", BOOL), condition(names), condition(names)))
    rows.append(Assignment("bad", BOOL, bad, False))
    return Network((Input("switch", BOOL), Input("sensor", REAL)), tuple(rows), ())
