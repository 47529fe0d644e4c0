"""What two networks are said to have in common without a solver is equal in every scan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.logic.network import ZERO, Assignment, Input, Network
from steadfall.logic.nodes import And, Constant, Node, Not, Or, Read, Type, Value
from steadfall.logic.types import rebuilt
from steadfall.prove.compare.alike import alike
from steadfall.scan.interpreter import Scanner
from tests.logic.networks import TRACES, networks
from tests.scan.agreement import bits


@st.composite
def pairs(draw: Any) -> tuple[Network, Network]:
    """A network, and the same with some signals made constant or begun elsewhere."""
    one = draw(networks())
    rows = list(one.assignments)
    for _ in range(draw(st.integers(0, 2))):
        place = draw(st.integers(0, len(rows) - 1))
        row = rows[place]
        if not row.is_block:
            rows[place] = evolve(row, node=Constant(ZERO[row.type], row.type))
        elif isinstance(row.initial, bool):
            rows[place] = evolve(row, initial=not row.initial)
    return one, evolve(one, assignments=tuple(rows))


@settings(max_examples=150, deadline=None)
@given(pairs(), TRACES)
def test_what_is_common_is_equal(
    both: tuple[Network, Network], rows: list[tuple[int, Mapping[str, Value]]]
) -> None:
    first, second = both
    common = alike(first, second)
    one, two = Scanner(first), Scanner(second)
    for dt, given_ in rows:
        a, b = one.scan(dt, given_), two.scan(dt, given_)
        assert all(bits(a[name]) == bits(b[name]) for name in common.same)
        assert all(bits(b[name]) == bits(a[twin]) for name, twin in common.twins.items())


@given(networks())
def test_a_network_is_like_itself(network: Network) -> None:
    assert alike(network, network).same == {row.name for row in network.assignments}


def _in_brackets(node: Node) -> Node:
    """The same, with brackets around all parts of an AND or OR but the last."""
    inside = rebuilt(node, _in_brackets)
    if not isinstance(inside, And | Or) or len(inside.parts) < 3:
        return inside
    *first, last = inside.parts
    return evolve(inside, parts=(type(inside)(tuple(first)), last))


@given(networks())
def test_brackets_make_no_difference(network: Network) -> None:
    rows = tuple(evolve(row, node=_in_brackets(row.node)) for row in network.assignments)
    assert alike(network, evolve(network, assignments=rows)).same == {row.name for row in rows}


def test_a_chain_of_one_operator_is_one_chain_in_the_common() -> None:
    a, b, c = (Read(name, Type.BOOL) for name in "abc")
    inputs = tuple(Input(name, Type.BOOL) for name in "abc")
    flat, deep = Or((Not(a), b, c)), Or((Not(And((a, Not(b)))), c))
    one, two = (
        Network(inputs, (Assignment("out", Type.BOOL, node, False),), ("out",)) for node in (flat, deep)
    )
    assert alike(one, two).same == {"out"}
