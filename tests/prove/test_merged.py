"""Parts of the state that are always the same are found, however they are written."""

from __future__ import annotations

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Not, Or, Previous, Read, SetDominant, Type
from steadfall.prove.decide.ask import ONE_STEP, Ask
from steadfall.prove.decide.portfolio import settle
from steadfall.prove.requirements.whole import watched
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.kept import last
from steadfall.prove.system.merged import same_parts
from steadfall.prove.system.step import model
from steadfall.roles import HELPER, observer
from tests.prove.plans import demo

A, B, R = (Read(name, Type.BOOL) for name in "abr")


def same(*, watching: bool = False, watched_by: tuple[str, ...] = (), **rows: Node) -> dict[str, str]:
    inputs = tuple(Input(name, Type.BOOL) for name in "abr")
    what = {name: observer(name).identity if name in watched_by else HELPER for name in rows}
    made = (Assignment(name, Type.BOOL, node, False, identity=what[name]) for name, node in rows.items())
    part = model(Network(inputs, tuple(made), ()), 10, single=True)
    return dict(same_parts(part, watching=watching))


def test_the_order_of_parts_does_not_matter() -> None:
    one, two = SetDominant(Or((A, B)), R), SetDominant(Or((B, A)), R)
    assert same(one=one, two=two) == {last("two"): last("one")}


def test_two_that_hang_on_each_other_are_the_same() -> None:
    found = same(one=Or((A, Previous("two", Type.BOOL))), two=Or((A, Previous("one", Type.BOOL))))
    assert found == {last("one"): last("two")} or found == {last("two"): last("one")}


def test_what_differs_once_is_not_the_same() -> None:
    latch = SetDominant(A, R)
    assert same(one=latch, two=SetDominant(A, B)) == {}
    assert same(one=latch, two=SetDominant(Not(A), R)) == {}
    assert same(one=Or((A, Previous("two", Type.BOOL))), two=Or((B, Previous("one", Type.BOOL)))) == {}


def test_what_watches_is_the_same_only_where_it_is_asked_for() -> None:
    latch = SetDominant(A, R)
    assert same(watched_by=("two",), one=latch, two=latch) == {}
    found = same(watching=True, watched_by=("two",), one=latch, two=latch)
    assert found == {last("two"): last("one")}


def test_that_a_trip_latches_is_seen_in_one_step() -> None:
    of = watched(demo())
    latches = [row for row in of.required if row.name.endswith(".latches")]
    assert latches
    for required in latches:
        if not required.circuit:
            found = settle(of, required, required.bad, Ask(), Budget(60_000_000))
            assert isinstance(found, tuple)
            assert found[0] == ONE_STEP
