"""Questions that differ in names alone are one question; in anything else they are two."""

from __future__ import annotations

import random

import attrs
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from steadfall.logic import nodes
from steadfall.logic.cone import cone
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node
from steadfall.logic.types import children, walk
from steadfall.prove.decide.before.cache import Answer, Memory, model_of
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.canonical import Canonical, canonical
from steadfall.prove.system.renamed import renamed
from steadfall.prove.system.step import model
from steadfall.roles import Identity, Role
from steadfall.scan.interpreter import Scanner
from tests.prove.small import LONGEST, moves, shortest_break, small

MANY = {"deadline": None, "suppress_health_check": list(HealthCheck)}
MOST_STATES = 120


def copied(network: Network, ending: str) -> Network:
    """The same under other names."""
    names = {name: f"{name}{ending}" for name in network.types}
    return Network(
        tuple(attrs.evolve(row, name=names[row.name]) for row in network.inputs),
        tuple(
            attrs.evolve(row, name=names[row.name], node=renamed(row.node, names))
            for row in network.assignments
        ),
        (),
    )


def beside(first: Network, second: Network) -> Network:
    """Two networks in one."""
    return Network((*first.inputs, *second.inputs), (*first.assignments, *second.assignments), ())


def asked(network: Network, goal: str) -> Canonical:
    return canonical(cone(network, [goal]), goal, LONGEST)


def altered(node: Node, which: int) -> Node:
    """A node with its `which`-th time constant one greater."""
    count = iter(range(1000))

    def turn(part: Node) -> Node:
        if isinstance(part, nodes.Constant):
            more = part.type is nodes.Type.TIME and next(count) == which
            return attrs.evolve(part, value=int(part.value) + 1) if more else part
        if isinstance(part, nodes.Since):
            return attrs.evolve(part, limit_ms=part.limit_ms + 1) if next(count) == which else part
        inside = children(part)
        given: dict[str, object] = {}
        for row in attrs.fields(type(part)):
            value = getattr(part, row.name)
            if isinstance(value, tuple):
                given[row.name] = tuple(turn(one) for one in value)
            elif any(value is one for one in inside):
                given[row.name] = turn(value)
        return attrs.evolve(part, **given)  # type: ignore[arg-type]

    return turn(node)


def near_copies(network: Network) -> list[Network]:
    """The network with one constant, limit or first value changed."""
    found = []
    for place, row in enumerate(network.assignments):
        changed = [altered(row.node, which) for which in range(4)]
        rows = [attrs.evolve(row, node=node) for node in changed if node != row.node]
        if row.type is nodes.Type.BOOL and row.name != "bad":
            rows.append(attrs.evolve(row, initial=not row.initial))
        found += [
            Network(
                network.inputs, (*network.assignments[:place], one, *network.assignments[place + 1 :]), ()
            )
            for one in rows
        ]
    return found


@settings(max_examples=60, **MANY)  # type: ignore[arg-type]
@given(small())
def test_two_copies_beside_each_other_ask_one_question(network: Network) -> None:
    both = beside(copied(network, ".one"), copied(network, ".two"))
    assert asked(both, "bad.one").question == asked(both, "bad.two").question


@settings(max_examples=60, **MANY)  # type: ignore[arg-type]
@given(small())
def test_a_near_copy_asks_another_question(network: Network) -> None:
    inside = {row.name for row in cone(network, ["bad"]).assignments}
    wanted = asked(network, "bad").question
    for near in near_copies(network):
        same = all(
            one == two
            for one, two in zip(near.assignments, network.assignments, strict=True)
            if one.name in inside
        )
        assert (asked(near, "bad").question == wanted) is same


@settings(max_examples=60, **MANY)  # type: ignore[arg-type]
@given(small(), st.integers(0, 2**32))
def test_a_question_does_what_its_network_does(network: Network, seed: int) -> None:
    found, luck = asked(network, "bad"), random.Random(seed)
    own, bare, every = Scanner(network), Scanner(found.question.network), moves(network)
    for _ in range(40):
        dt, values = luck.choice(every)
        one = own.scan(dt, values)
        two = bare.scan(
            dt, {found.names[name]: value for name, value in values.items() if name in found.names}
        )
        assert all(one[name] == two[new] for name, new in found.names.items())


@settings(max_examples=25, **MANY)  # type: ignore[arg-type]
@given(small())
def test_what_holds_of_the_question_holds_of_the_copy(network: Network) -> None:
    """The verdict found for one copy, against trying everything on the other, its certificate in the other's
    names.
    """
    wanted = shortest_break(network, MOST_STATES)
    assume(wanted != -1)
    other = copied(network, ".two")
    one, two = asked(network, "bad"), asked(other, "bad.two")
    part = model_of(one.question)
    target = part.values[one.question.goal]
    proof = spacer.invariant(part, target, Budget(10_000_000))
    if wanted is not None:
        assert proof in (False, None)
        assert bounded.search(part, target, 60, Budget(40_000_000))[0] is not None
        return
    assert proof is not False
    if proof is None:
        return
    plain = model(cone(other, ["bad.two"]), LONGEST)
    certificate = Certificate(two.put_back(text_of(proof)))
    assert recheck.holds(script(plain, ["bad.two"], certificate))
    assert two.take_out(certificate.invariant) == text_of(proof)


def tiny(limit: int, name: str = "a") -> Network:
    rows = (
        Assignment("timer", nodes.Type.BOOL, nodes.Ton(nodes.Read(name, nodes.Type.BOOL), _ms(limit)), False),
        Assignment("bad", nodes.Type.BOOL, nodes.Read("timer", nodes.Type.BOOL), False),
    )
    return Network((Input(name, nodes.Type.BOOL),), rows, ())


def _ms(value: int) -> Node:
    return nodes.Constant(value, nodes.Type.TIME)


def test_longest_scan_and_power_cuts_are_part_of_the_question() -> None:
    plain = canonical(tiny(5), "bad", 2).question
    assert plain == canonical(tiny(5, "b"), "bad", 2).question
    assert plain != canonical(tiny(6), "bad", 2).question
    assert plain != canonical(tiny(5), "bad", 3).question
    assert plain != canonical(tiny(5), "bad", 2, power_cut=True).question


def test_an_observer_is_no_part_of_a_controller() -> None:
    """A power cut clears the one and not the other, so they are never taken for each other."""
    own = tiny(5)
    rows = tuple(attrs.evolve(row, identity=Identity(Role.OBSERVER)) for row in own.assignments)
    watching = attrs.evolve(own, assignments=rows)
    assert own == watching
    assert canonical(own, "bad", 2).question != canonical(watching, "bad", 2).question
    assert (
        canonical(watching, "bad", 2).question == canonical(copied(watching, ":seen"), "bad:seen", 2).question
    )


def test_no_name_is_lost() -> None:
    found = canonical(tiny(5), "bad", 2)
    assert len(set(found.names.values())) == len(found.names) == 3
    assert all(
        isinstance(part, Node) for row in found.question.network.assignments for part in walk(row.node)
    )


def test_what_is_known_is_not_asked_again() -> None:
    memory, asked = Memory(), list[int]()

    def ask() -> Answer:
        asked.append(1)
        return Answer(spent=5)

    assert memory.answer("question", ask) == memory.answer("question", ask)
    memory.answer("another", ask)
    assert len(asked) == 2
