"""Clocks that stop where nobody looks any more: every comparison must be answered as before."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic.forms import ms
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Add, Compare, Mux, Node, Or, Previous, Read, Select, Since, Type
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.clocks import tightened
from steadfall.st.read.whole import read_st
from tests.st.test_reader import program

BOOL, TIME, INT = Type.BOOL, Type.TIME, Type.INT
IN_A_BRANCH = "IF a THEN d(IN := TRUE, PT := T#90ms); ELSE d(IN := FALSE); END_IF;"


def shown(text: str, scans: int = 12) -> list[bool]:
    one = Scanner(read_st(text, "x.st"))
    return [bool(one.scan(10, {"a": True})["q"]) for _ in range(scans)]


# The elapsed time is 0 in the first scan, then 10 ms more in each, as far as 90 ms.
COMPARISONS = {
    "T#50ms < d.ET": [10 * n > 50 for n in range(12)],
    "T#50ms <= d.ET": [10 * n >= 50 for n in range(12)],
    "T#50ms > d.ET": [10 * n < 50 for n in range(12)],
    "T#50ms >= d.ET": [10 * n <= 50 for n in range(12)],
    "T#50ms = d.ET": [10 * n == 50 for n in range(12)],
    "T#50ms <> d.ET": [10 * n != 50 for n in range(12)],
    "d.ET > T#50ms": [10 * n > 50 for n in range(12)],
    "d.ET <= T#50ms": [10 * n <= 50 for n in range(12)],
    "SEL(d.ET + T#10ms > T#60ms, T#1ms, d.ET) > T#2ms": [10 * n > 50 for n in range(12)],
    "MUX(BOOL_TO_INT(a), T#0ms, d.ET) > T#50ms AND d.ET > T#20ms": [10 * n > 50 for n in range(12)],
    "SEL(a, d.ET, d.ET + T#20ms) > T#80ms OR d.ET < T#0ms": [10 * n > 60 for n in range(12)],
}


@pytest.mark.parametrize("said", COMPARISONS)
def test_a_clock_on_either_side_of_a_comparison(said: str) -> None:
    assert shown(program(f"{IN_A_BRANCH} q := {said};", "d : TON;")) == COMPARISONS[said]


def test_a_time_before_the_first_event_is_told_from_the_end_of_a_clock() -> None:
    """The timer shows at most 90 ms; until its first start a minute is shown, which is more than 30 s."""
    body = """d(IN := TRUE, PT := T#90ms); since := SEL(seen, T#1m, d.ET); e := a AND NOT b;
    d(IN := NOT e); d(IN := TRUE); seen := seen OR e; q := since > T#30s;"""
    one = Scanner(read_st(program(body, "d : TON; e, seen : BOOL; since : TIME;"), "x.st"))
    given = [False] * 3 + [True] * 4
    assert [one.scan(10, {"a": value})["q"] for value in given] == [True] * 4 + [False] * 3


TIMES = st.sampled_from([0, 10, 20, 30, 40, 50])


@st.composite
def networks(draw: st.DrawFn) -> tuple[Assignment, ...]:
    """Two clocks, times made of them by choice, and comparisons of these: the questions are the outputs."""
    rows: list[Assignment] = []

    def add(name: str, kind: Type, node: Node, first: bool | int = False) -> Read:
        rows.append(Assignment(name, kind, node, first))
        return Read(name, kind)

    a, b, n = Read("a", BOOL), Read("b", BOOL), Read("n", INT)
    events: Sequence[Node] = (a, b, Or((a, b)))
    event = add("event", BOOL, draw(st.sampled_from(events)))
    clocks: list[Node] = [add(f"c{k}", TIME, Since("event", draw(TIMES)), 0) for k in range(2)]
    known: list[Node] = [Previous("known", BOOL), event, *([b] if draw(st.booleans()) else [])]
    add("known", BOOL, Or(tuple(draw(st.permutations(known)))))
    known_before = Previous("known", BOOL)
    word: Node = a if draw(st.booleans()) else b
    times: list[Node] = [*clocks, add("w", TIME, Select(known_before, clocks[0], ms(draw(TIMES))), 0)]
    for k in range(draw(st.integers(0, 2))):
        one, other = draw(st.sampled_from(times)), draw(st.sampled_from([*times, ms(draw(TIMES))]))
        shape: Sequence[Node] = (
            Select(word, one, other),
            Select(Compare("<", Add(one, ms(10)), ms(draw(TIMES))), other, one),
            Mux(n, (one, other)),
            Select(word, one, Add(other, ms(10))),
        )
        times.append(add(f"t{k}", TIME, draw(st.sampled_from(shape)), draw(TIMES)))
    for k in range(draw(st.integers(1, 3))):
        op, bound = draw(st.sampled_from(["<", "<=", ">", ">=", "=", "<>"])), ms(draw(TIMES))
        one = draw(st.sampled_from(times))
        asked = draw(st.sampled_from([one, one, Previous("w", TIME), Select(word, one, bound)]))
        pair = (asked, bound) if draw(st.booleans()) else (bound, asked)
        add(f"q{k}", BOOL, Compare(op, *pair))
    return tuple(rows)


@settings(max_examples=400, deadline=None)
@given(networks(), st.lists(st.tuples(st.integers(1, 25), st.booleans(), st.booleans()), max_size=12))
def test_every_question_is_answered_as_before(
    rows: tuple[Assignment, ...], scans: list[tuple[int, bool, bool]]
) -> None:
    inputs = (Input("a", BOOL), Input("b", BOOL), Input("n", INT))
    asked = tuple(row.name for row in rows if row.name.startswith("q"))
    one = Scanner(Network(inputs, rows, asked))
    other = Scanner(Network(inputs, tightened(rows, asked), asked))
    for dt, a, b in scans:
        given_now = {"a": a, "b": b, "n": int(a) + int(b)}
        before, after = one.scan(dt, given_now), other.scan(dt, given_now)
        assert [before[name] for name in asked] == [after[name] for name in asked]


def test_what_is_never_asked_is_not_counted() -> None:
    rows = (
        Assignment("event", BOOL, Read("a", BOOL), False),
        Assignment("c", TIME, Since("event", 10_000), 0),
        Assignment("q", BOOL, Compare("<", ms(50), Read("c", TIME)), False),
    )
    clock = tightened(rows, ["q"])[1].node
    assert isinstance(clock, Since)
    assert clock.limit_ms == 51
