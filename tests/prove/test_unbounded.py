"""Clocks that may count on past their limit: only where nothing can tell. Networks made for the purpose."""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping

import pytest

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Compare, Constant, Node, Previous, Read, Select, Since, ToReal, Type
from steadfall.prove.system.bounds.ranges import ranges
from steadfall.prove.system.step import model
from steadfall.prove.system.unbounded import unbounded

AGE, LIMIT = Read("age", Type.TIME), 500
OPERATORS: Mapping[str, Callable[[int, int], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "<>": operator.ne,
}


def network(use: Node, kind: Type = Type.BOOL) -> Network:
    rows = (
        Assignment("age", Type.TIME, Since("a", LIMIT), 0),
        Assignment("use", kind, use, False if kind is Type.BOOL else 0 if kind is Type.TIME else 0.0),
    )
    return Network((Input("a", Type.BOOL), Input("t", Type.TIME)), rows, ())


def free(use: Node, kind: Type = Type.BOOL) -> bool:
    given = network(use, kind)
    return "age" in unbounded(given, ranges(given))


def time(value: int) -> Constant:
    return Constant(value, Type.TIME)


@pytest.mark.parametrize("op", OPERATORS)
@pytest.mark.parametrize("value", [0, 499, 500, 501])
def test_a_comparison_frees_a_clock_only_if_no_later_time_answers_otherwise(op: str, value: int) -> None:
    holds = OPERATORS[op]
    same = all(holds(min(age, LIMIT), value) == holds(age, value) for age in range(3 * LIMIT))
    turned = all(holds(value, min(age, LIMIT)) == holds(value, age) for age in range(3 * LIMIT))
    # Where it is the same by chance (an end that is never reached) the clock may keep its end: that costs
    # only time.
    assert same or not free(Compare(op, AGE, time(value)))
    assert turned or not free(Compare(op, time(value), AGE))
    if value < LIMIT:
        assert free(Compare(op, AGE, time(value)))


def test_the_ends_of_a_choice_count() -> None:
    def chosen(most: int) -> Node:
        return Compare(">=", AGE, Select(Read("a", Type.BOOL), time(10), time(most)))

    assert free(chosen(LIMIT))
    assert not free(chosen(LIMIT + 1))


@pytest.mark.parametrize(
    ("use", "kind"),
    [
        (Compare("<", AGE, Read("t", Type.TIME)), Type.BOOL),
        (Compare("<", AGE, AGE), Type.BOOL),
        (Compare("<", Previous("age", Type.TIME), time(10)), Type.BOOL),
        (Compare("<", Select(Read("a", Type.BOOL), AGE, time(0)), time(10)), Type.BOOL),
        (ToReal(AGE), Type.REAL),
        (AGE, Type.TIME),
    ],
)
def test_a_clock_that_is_used_otherwise_keeps_its_end(use: Node, kind: Type) -> None:
    assert not free(use, kind)


@pytest.mark.parametrize(("most", "high"), [(LIMIT, float("inf")), (LIMIT + 1, LIMIT)])
def test_the_model_counts_on_where_nothing_can_tell(most: int, high: float) -> None:
    slots = model(network(Compare(">=", AGE, time(most))), 20).slots
    assert {slot.key: slot.high for slot in slots}["age:age"] == high
