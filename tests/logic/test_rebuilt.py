"""A node with other parts."""

from __future__ import annotations

from steadfall.logic.forms import ms, real
from steadfall.logic.nodes import Compare, Constant, Limit, Mux, Node, Not, Previous, Read, Ton, Type
from steadfall.logic.types import besides, children, rebuilt
from steadfall.source import Mark

HERE = Mark("plan.yaml", 3, 1)
A, B = Read("a", Type.BOOL), Read("b", Type.BOOL)


def test_every_part_in_the_order_of_writing() -> None:
    seen: list[Node] = []

    def note(part: Node) -> Node:
        seen.append(part)
        return part

    node = Limit(real(1), real(2), real(3), mark=HERE)
    assert rebuilt(node, note) == node
    assert seen == list(children(node))


def test_rows_of_parts_and_what_else_a_node_says_are_kept() -> None:
    turned = rebuilt(
        Mux(Read("i", Type.INT), (A, B), mark=HERE), lambda part: Not(part) if part == A else part
    )
    assert turned == Mux(Read("i", Type.INT), (Not(A), B), mark=HERE)
    assert turned.mark == HERE
    compared = rebuilt(Compare("<", real(1), real(2)), lambda _: real(7))
    assert compared == Compare("<", real(7), real(7))


def test_a_node_without_parts_is_itself() -> None:
    leaf = Previous("a", Type.BOOL)
    assert rebuilt(leaf, lambda _: A) is leaf


def test_what_nodes_say_besides_their_parts() -> None:
    assert besides(Compare("<", A, B)) == besides(Compare("<", B, A)) != besides(Compare("<=", A, B))
    assert besides(Ton(A, ms(5))) == besides(Ton(B, ms(6)))
    assert besides(Mux(A, (A, B))) != besides(Mux(A, (A,)))
    assert besides(Constant(1, Type.INT, label="one")) == besides(Constant(1, Type.INT))
