"""Whole numbers of an input stay within what its type holds; signals that were only set free do not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import attrs
import pytest
from hypothesis import given, settings

from steadfall.logic import nodes
from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import NetworkError
from steadfall.prove.compare.compare import How, compare
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.runs.rig import plain_rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.bounds.ranges import ranges
from steadfall.prove.system.canonical import canonical
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import model
from steadfall.scan.interpreter import Scanner
from tests.logic.networks import TRACES, networks
from tests.prove.plans import demo
from tests.scan.machine import Machine
from tests.st.foreign.cases import CASES

INT, BOOL = Type.INT, Type.BOOL
Trace = list[tuple[int, dict[str, bool | int | float]]]
NESTED = next(case for case in CASES if case.name == "nested_choice")


def whole(value: int) -> Node:
    return nodes.Constant(value, INT)


def above(limit: int, holds: tuple[int, int] | None) -> Network:
    """`bad` when the level is above a limit."""
    there = nodes.Compare(">", nodes.Read("level", INT), whole(limit))
    rows = (Assignment("bad", BOOL, there, False),)
    return Network((Input("level", INT, holds=holds),), rows, ())


@pytest.mark.parametrize(("limit", "reached"), [(32_767, False), (32_766, True), (-32_768, True)])
def test_an_input_comes_as_far_as_its_type_and_no_further(limit: int, reached: bool) -> None:
    network = above(limit, (-(2**15), 2**15 - 1))
    part = model(network, 10)
    found, _ = bounded.search(part, part.values["bad"], 2, Budget(10_000_000))
    assert (found is not None) is reached
    if found is None:
        assert recheck.holds(script(part, ["bad"], Certificate("true")))
    else:
        assert replay(network, expand(found.steps, 10), "bad") is not None


def test_the_second_solver_is_told_the_ends() -> None:
    """Without them cvc5 confirms nothing; with them it needs nothing else."""
    told, untold = (model(above(5, holds), 10) for holds in ((0, 5), None))
    asked = script(told, ["bad"], Certificate("true"))
    assert recheck.holds(asked)
    assert "(<= 0 |now level| 5)" in asked
    assert not recheck.holds(script(untold, ["bad"], Certificate("true")))


def test_what_is_set_free_has_no_ends() -> None:
    """The stage of a circuit stays within its ends, yet nothing is taken for granted of it where it is left
    out.
    """
    level, high = nodes.Read("level", INT), nodes.Compare(">", nodes.Read("kept", INT), whole(5))
    rows = (
        Assignment("kept", INT, nodes.Select(nodes.Compare(">", level, whole(3)), whole(3), level), 0),
        Assignment("bad", BOOL, high, False),
    )
    network = Network((Input("level", INT, holds=(0, 9)),), rows, ())
    assert ranges(network)["kept"] == (0, 3)
    freed = cone(network, ["bad"], lambda name: name == "kept")
    assert [row.holds for row in freed.inputs] == [None]
    for one, reached in ((network, False), (freed, True)):
        part = model(one, 10)
        assert (bounded.search(part, part.values["bad"], 2, Budget(10_000_000))[0] is not None) is reached


def test_the_ends_are_part_of_the_question() -> None:
    asked = [canonical(above(5, holds), "bad", 10).question for holds in (None, (0, 5), (0, 6), (0, 5))]
    assert asked[1] == asked[3]
    assert len(set(asked)) == 3


def test_an_input_that_cannot_be_0_is_no_input() -> None:
    """Before it is given it is 0."""
    with pytest.raises(NetworkError, match="cannot hold"):
        above(5, (1, 5))


@pytest.mark.parametrize("made", [Scanner, Machine])
def test_both_machines_refuse_what_an_input_cannot_hold(made: Callable[[Network], Any]) -> None:
    run = made(above(5, (-128, 127)))
    assert run.scan(0, {"level": 127})["bad"]
    with pytest.raises(ValueError, match="between -128 and 127 and cannot be 128"):
        run.scan(10, {"level": 128})


def test_made_up_inputs_stay_within_and_come_to_the_ends() -> None:
    one = plain_rig(above(100, (-128, 127)), 10)
    given = {value for seed in range(24) for _, value in stimuli(one, seed).inputs["level"].pairs()}
    assert (min(given), max(given)) == (-128, 127)
    assert {99, 100, 101} <= given


@settings(max_examples=60, deadline=None)
@given(networks(), TRACES)
def test_no_run_leaves_the_ends_where_inputs_have_theirs(
    network: Network, trace: list[tuple[int, dict[str, bool | int | float]]]
) -> None:
    inputs = tuple(attrs.evolve(row, holds=(-3, 8)) if row.type is INT else row for row in network.inputs)
    bounded_ = attrs.evolve(network, inputs=inputs)
    found, run = ranges(bounded_), Scanner(bounded_)
    for dt, given_ in trace:
        values = run.scan(dt, given_)
        for name in found.keys() & {row.name for row in network.assignments}:
            assert found[name][0] <= values[name] <= found[name][1]


def counting(node: Node) -> Network:
    return Network((Input("edge", BOOL),), (Assignment("count", INT, node, 0),), ())


BEFORE = nodes.Previous("count", INT)
LESS = nodes.Subtract(BEFORE, whole(3))
MORE = nodes.Add(BEFORE, whole(1))
EDGE = nodes.Read("edge", BOOL)


@pytest.mark.parametrize(
    ("node", "ends"),
    [
        (nodes.Select(nodes.And((EDGE, nodes.Compare("<", BEFORE, whole(900)))), MORE, BEFORE), (0, 900)),
        (nodes.Select(nodes.Compare(">=", MORE, whole(7)), whole(0), MORE), (0, 6)),
        (nodes.Select(nodes.Or((EDGE, nodes.Compare(">", BEFORE, whole(7)))), whole(0), MORE), (0, 8)),
        (nodes.Select(nodes.Not(nodes.Compare(">=", whole(-4), BEFORE)), LESS, BEFORE), (-6, 0)),
        (nodes.Select(EDGE, MORE, BEFORE), (0, float("inf"))),
    ],
)  # fmt: skip
def test_a_counter_stays_within_what_guards_it(node: Node, ends: tuple[float, float]) -> None:
    assert ranges(counting(node))["count"] == ends


def test_the_ends_of_a_counter_are_proved_again() -> None:
    guarded = nodes.Select(nodes.And((EDGE, nodes.Compare("<", BEFORE, whole(900)))), MORE, BEFORE)
    over = Assignment("bad", BOOL, nodes.Compare(">", nodes.Read("count", INT), whole(900)), False)
    one = counting(guarded)
    part = model(attrs.evolve(one, assignments=(*one.assignments, over)), 10)
    found = spacer.invariant(part, part.values["bad"], Budget(10_000_000))
    assert recheck.holds(script(part, ["bad"], Certificate(text_of(found))))


def test_two_programs_that_differ_past_the_end_of_an_int_are_equal() -> None:
    """One takes every level from 4 on, the other 4 to 32767: the same for an INT, and not for a wider
    number.
    """
    first, second = NESTED.network("reference"), NESTED.network("equal")
    assert compare(demo(), first, second, How(40_000_000)).verdict == "equal"
    wider = tuple(
        attrs.evolve(row, holds=(-(2**31), 2**31 - 1) if row.holds else None) for row in first.inputs
    )
    assert compare(demo(), attrs.evolve(first, inputs=wider), second, How(40_000_000)).verdict == "parts"


def test_an_input_of_two_programs_holds_what_either_takes() -> None:
    one, other, open_ = (Input("level", INT, holds=holds) for holds in ((0, 9), (-3, 5), None))
    assert one.beside(other).holds == (-3, 9)
    assert one.beside(open_).holds is open_.beside(one).holds is None
