"""What would have to change: the scan, run again with it, comes out otherwise."""

from __future__ import annotations

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import NODE_CLASSES, Constant, Read, Type, Value
from steadfall.source import NOWHERE
from steadfall.why.facts.facts import INPUT, PREVIOUS
from steadfall.why.otherwise.change import WAIT, Change
from steadfall.why.otherwise.otherwise import WAYS, Want, meeting, otherwise
from steadfall.why.scans.history import History
from tests.logic.networks import TRACES, networks
from tests.runs.made import made

Scans = list[tuple[int, dict[str, Value]]]
CHANCE = st.integers(0, 2**32).map(random.Random)  # its own numbers: those drawn one by one would be too tame
A, B, X = (Read(name, kind) for name, kind in (("a", Type.BOOL), ("b", Type.BOOL), ("x", Type.REAL)))
INPUTS = (Input("a", Type.BOOL), Input("b", Type.BOOL), Input("x", Type.REAL))


def one(node: nodes.Node) -> Network:
    return Network(INPUTS, (Assignment("q", Type.BOOL, node, False),), ("q",))


def said(node: nodes.Node, scans: Scans, want: Want | None = None) -> list[set[tuple[str, str, str, Value]]]:
    history = History(one(node), made(scans))
    ways = otherwise(history, "q", len(scans) - 1, want)
    return [{(change.kind, change.name, change.op, change.value) for change in way} for way in ways]


def test_every_class_has_its_row() -> None:
    assert set(WAYS) == set(NODE_CLASSES)


@settings(max_examples=150, deadline=None)
@given(networks(), TRACES, CHANCE)
def test_inputs_that_are_named_do_it(network: Network, scans: Scans, chance: random.Random) -> None:
    history = History(network, made(scans))
    scan = chance.randrange(len(scans))
    now = history.moment(scan)
    for row in network.assignments:
        for way in otherwise(history, row.name, scan):
            assert row.type is Type.BOOL
            if all(change.kind == INPUT for change in way):
                inputs: dict[str, Value] = {}
                for name in dict.fromkeys(change.name for change in way):
                    value = meeting([one for one in way if one.name == name], history.types[name])
                    assert value is not None
                    inputs[name] = value
                held = {name: now.values[name] for name in history.inputs}
                assert history.scanner(scan).scan(now.dt, held | inputs)[row.name] != now.values[row.name]


def test_all_that_is_missing_of_an_and() -> None:
    assert said(nodes.And((A, B)), [(0, {})]) == [{(INPUT, "a", "=", True), (INPUT, "b", "=", True)}]


def test_either_part_of_an_or_each_by_itself() -> None:
    assert said(nodes.Or((A, B)), [(0, {})]) == [{(INPUT, "a", "=", True)}, {(INPUT, "b", "=", True)}]


def test_a_number_must_pass_its_bound() -> None:
    node = nodes.Compare("<", X, Constant(155.0, Type.REAL))
    assert said(node, [(0, {"x": 160.0})]) == [{(INPUT, "x", "<", 155.0)}]


def test_a_number_meets_all_the_bounds_that_it_must_pass() -> None:
    """Whatever the order in which they are given; told is the one that does it alone."""
    changes = [Change(INPUT, "x", "<", bound, NOWHERE) for bound in (130.0, 100.0)]
    for ordered in (changes, changes[::-1]):
        assert meeting(ordered, Type.REAL) == 99.0
    bounds = [nodes.Compare("<", X, Constant(bound, Type.REAL)) for bound in (130.0, 100.0)]
    assert said(nodes.And(tuple(bounds)), [(0, {"x": 200.0})]) == [{(INPUT, "x", "<", 100.0)}]


def test_a_single_change_is_found_where_the_table_has_no_answer() -> None:
    """Arithmetic has no one answer: the input is tried at the constants of the network."""
    node = nodes.Compare("<", nodes.Least(X, Constant(50.0, Type.REAL)), Constant(20.0, Type.REAL))
    assert said(node, [(0, {"x": 200.0})]) == [{(INPUT, "x", "<", 20.0)}]


def test_of_equal_ways_that_comes_first_which_stands_first_in_the_network() -> None:
    rows = (Assignment("q", Type.BOOL, nodes.Or((A, B)), False),)
    for inputs in (INPUTS, (INPUTS[1], INPUTS[0])):
        history = History(Network(inputs, rows, ("q",)), made([(0, {})]))
        ways = otherwise(history, "q", 0)
        assert [change.name for way in ways for change in way] == [row.name for row in inputs[:2]]


def test_what_is_left_of_a_timer() -> None:
    node = nodes.Ton(A, Constant(300, Type.TIME))
    assert said(node, [(0, {"a": True}), (120, {})]) == [{(WAIT, "q", ">=", 180)}]


def test_a_latch_that_holds_needs_its_reset_and_no_cause() -> None:
    node = nodes.SetDominant(A, B)
    assert said(node, [(0, {"a": True}), (10, {"a": False})]) == [{(INPUT, "b", "=", True)}]


def test_something_remembered() -> None:
    assert said(nodes.Previous("q", Type.BOOL), [(0, {})]) == [{(PREVIOUS, "q", "=", True)}]


def test_what_can_never_be() -> None:
    assert said(nodes.And((A, nodes.Not(A))), [(0, {})]) == []
    assert said(Constant(True, Type.BOOL), [(0, {})]) == []
