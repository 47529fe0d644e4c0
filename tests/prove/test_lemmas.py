"""Lemmas: nothing is proved that can be broken, what excludes a state is of what was seen, two processes say
what one says.
"""

from __future__ import annotations

import random
from functools import partial

import attrs
import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from steadfall.logic.network import Network
from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.by_lemmas import groups
from steadfall.prove.decide.certificate import text_of
from steadfall.prove.decide.lemma_set import ByLemmas, LemmaSet, confirmed
from steadfall.prove.decide.result import lemma_sets
from steadfall.prove.lemmas.candidates import excluding, work
from steadfall.prove.lemmas.found import NAME, lemmas
from steadfall.prove.lemmas.grid import FAR
from steadfall.prove.lemmas.joint import Joint
from steadfall.prove.lemmas.lemma import NONE, Lemma
from steadfall.prove.lemmas.seen import View
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.rig import plain_rig, rig
from steadfall.prove.runs.sampled import sampled
from steadfall.prove.solver import terms
from steadfall.prove.solver.space import Space
from steadfall.prove.system.step import model
from steadfall.prove.whole.run import prove
from tests.examples import EXAMPLES, ROOT
from tests.prove.plans import demo
from tests.prove.small import LONGEST, shortest_break, small
from tests.prove.test_strides import system

MANY = list(HealthCheck)
EFFORT = 1_000_000
GOOD = ROOT / "tests" / "plans" / "good"


def agree(network: Network, wanted: int | None) -> bool:
    """Whether lemmas settle it; they must not where it can be broken, and cvc5 must agree where they do."""
    part = model(network, LONGEST, single=True)
    found = lemmas(part, ["bad"], partial(plain_rig, network, LONGEST), EFFORT, power_cut=False)
    kept = LemmaSet("it", (), ("bad",), tuple(map(text_of, found.lemmas)))
    assert confirmed(part, kept, found.which) == set(found.which)
    assert wanted is None or not found.which
    return bool(found.which)


@settings(max_examples=25, deadline=None, suppress_health_check=MANY)
@given(small())
def test_what_can_be_broken_is_never_excluded(network: Network) -> None:
    wanted = shortest_break(network, 150)
    assume(wanted != -1)
    agree(network, wanted)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=MANY)
@given(small())
def test_many_that_can_be_broken_are_never_excluded(network: Network) -> None:
    wanted = shortest_break(network, 600)
    assume(wanted != -1)
    agree(network, wanted)


def test_what_is_the_same_is_the_same_in_every_sample() -> None:
    part = system("press")
    joint = Joint(part)
    rows = sampled(part, rig(demo(), part.network), part.slots, power_cut=False)
    place = {slot.key: number for number, slot in enumerate(part.slots)}
    assert len(joint.same) > 8
    for key, to in joint.same.items():
        np.testing.assert_array_equal(rows[:, place[key]], rows[:, place[to]])


STATES = st.lists(st.integers(0, 2), min_size=5, max_size=5)


@settings(max_examples=200, deadline=None, suppress_health_check=MANY)
@given(st.lists(STATES, min_size=1, max_size=12), STATES)
def test_a_lemma_excludes_the_state_and_nothing_that_was_seen(
    rows: list[list[int]], state: list[int]
) -> None:
    plain, clocks = [0, 1, 2], [3, 4, NONE]
    ages = np.array([[*row[3:], 0] for row in rows])
    most = ages[:, :, None] - ages[:, None, :]
    view = View(plain, clocks, np.array([row[:3] for row in rows]), most, most)
    found = excluding(view, state)
    if found is None:  # then something seen in this very mode is as far apart, whichever clocks one takes
        same = [row for row in rows if row[:3] == state[:3]]
        assert same
        return
    lemma = found[1]
    assert lemma.breaks(state)
    assert not any(lemma.breaks(row) for row in rows)


def test_a_bound_without_a_constant_above_it_is_no_candidate() -> None:
    most = np.array([[[0, 3], [-3, 0]]])
    far = np.array([[[0, FAR], [FAR, 0]]])
    assert excluding(View([0], [1, NONE], np.array([[1]]), most, far), [1, 9]) is None
    found = excluding(View([0], [1, NONE], np.array([[1]]), most, most), [1, 9])
    assert found is not None
    assert found[1] == Lemma((), 1, NONE, 3)


def test_four_facts_are_never_so_together_where_fewer_say_too_much() -> None:
    every = [[one >> place & 1 for place in range(4)] for one in range(16)]
    none = np.zeros((15, 1, 1))
    found = excluding(View([0, 1, 2, 3], [NONE], np.array(every[:15]), none, none), [1, 1, 1, 1])
    assert found is not None
    assert found[1] == Lemma(((0, 1), (1, 1), (2, 1), (3, 1)), NONE, NONE, 0)
    all_seen = View([0, 1, 2, 3], [NONE], np.array(every), np.zeros((16, 1, 1)), np.zeros((16, 1, 1)))
    assert excluding(all_seen, [1, 1, 1, 1]) is None


def test_a_lemma_as_a_term_says_what_it_says_of_a_state() -> None:
    space, luck = Space(), random.Random(1)
    symbols = [space.boolean("a"), space.whole("b"), space.whole("x"), space.whole("y")]
    known = [
        Lemma((), 2, NONE, 4),
        Lemma(((0, 1),), NONE, 3, -2),
        Lemma(((0, 0), (1, 2)), 2, 3, 1),
        Lemma(((0, 1), (1, 0)), NONE, NONE, 0),
    ]
    broken = 0
    for _ in range(200):
        state = [luck.randint(0, 1), *(luck.randint(0, 5) for _ in range(3))]
        values = [space.value(bool(state[0])), *map(space.value, state[1:])]
        for lemma in known:
            term = lemma.term(space, symbols)
            said = terms.simplify(terms.substitute(term, *zip(symbols, values, strict=True)))
            assert terms.is_true(said) is not lemma.breaks(state)
            assert terms.is_true(said) or terms.is_false(said)
            broken += lemma.breaks(state)
    assert 20 < broken < 780


@pytest.mark.slow
def test_all_of_the_press() -> None:
    """On one process; that two say what one says is in test_budgets.py."""
    found = prove(demo(), workers=1)
    assert {row.engine for row in found.verdicts if row.required.circuit} == {NAME}
    assert all(row.good for row in found.verdicts)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["barrel", "oven"])
def test_lemmas_settle_every_requirement_of_an_example(name: str) -> None:
    found = prove(read_file(EXAMPLES[name]), workers=1)
    assert {(row.verdict, row.rechecked) for row in found.verdicts} == {("proved", True)}
    assert {row.engine for row in found.verdicts if row.required.circuit} == {NAME}


def test_alike_circuits_lean_on_the_same_lemmas_in_their_own_names() -> None:
    plan = demo()
    upper = plan.circuits["upper"]
    circuits = {
        "upper": upper,
        "lower": attrs.evolve(plan.circuits["lower"], delay_doses_ms=upper.delay_doses_ms),
    }
    found = prove(attrs.evolve(plan, circuits=circuits), ("upper.sweep", "lower.sweep"), workers=1)
    sets = {kept.name: kept for kept in lemma_sets(found.verdicts)}
    assert set(sets) == {"upper", "lower"}
    assert all(row.good for row in found.verdicts)
    assert [text.replace("upper", "lower") for text in sets["upper"].lemmas] == list(sets["lower"].lemmas)
    assert len(watched(plan).required) > len(found.verdicts)


def test_what_several_circuits_bear_on_is_settled_by_lemmas_of_its_own() -> None:
    """No two doses together can last as long; with the stage free, as other engines try it, they could."""
    found = prove(read_file(GOOD / "requirements.yaml"), ("stated.10",), workers=1).verdicts[0]
    assert (found.verdict, found.rechecked, found.engine) == ("proved", True, NAME)
    assert isinstance(found.certificate, ByLemmas)
    assert found.certificate.of.name == "stated.10"
    assert found.certificate.freed == ("tripped",)


def test_what_looks_at_trips_alone_is_left_to_other_engines() -> None:
    of = watched(demo())
    alone = [row for row in of.required if row.name.startswith(("trip.", "tripped."))]
    assert alone
    assert not list(groups(of, alone))


def test_to_look_for_a_lemma_is_paid_for() -> None:
    """So much as has been seen is paid for: what is never found ends, though no solver is asked."""
    row = np.zeros((1, 2, 2))
    few, many = (View([0], [1, NONE], np.zeros((modes, 1)), row, row) for modes in (10, 10**6))
    assert 0 < work(few) < work(many) / 10
