"""Certificates hold by questions that are written from the network, apart from the prover's formula."""

from __future__ import annotations

from functools import cache

from steadfall.logic.nodes import NODE_CLASSES
from steadfall.prove.checker.blocks import BLOCKS
from steadfall.prove.checker.nodes import EXPRESSIONS
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.by_lemmas import Group, by_lemmas, groups
from steadfall.prove.decide.lemma_set import Goals, LemmaSet, confirmed, script
from steadfall.prove.decide.processes import Hands
from steadfall.prove.engines import recheck
from steadfall.prove.requirements.whole import watched
from steadfall.prove.system.step import model
from tests.prove.plans import guarded

PLAN = guarded(shortest_open_ms=60, shortest_shut_ms=50)
LONGEST = PLAN.scan.longest_ms


@cache
def proved() -> tuple[Group, LemmaSet, Goals]:
    """The lemmas of one circuit, and the goals that they exclude."""
    of = watched(PLAN)
    found = by_lemmas(of, of.required, Ask(recheck=False), Hands())
    group = max(groups(of, of.required), key=lambda one: len(one.rows))
    own = {row.bad: found[row.name].certificate for row in group.rows if row.name in found}
    (kept,) = dict.fromkeys(one.of for one in own.values())
    return group, kept, {bad: one.which for bad, one in own.items()}


def test_every_word_can_be_written() -> None:
    assert {*EXPRESSIONS, *BLOCKS} == set(NODE_CLASSES)
    assert not {*EXPRESSIONS} & {*BLOCKS}


def test_lemmas_hold_by_questions_written_from_the_network() -> None:
    group, kept, goals = proved()
    part = model(group.part, LONGEST, single=True)
    assert len(goals) >= 10
    assert recheck.answers(script(part, kept, goals)) == ["unsat"] * (2 + len(goals))


def test_it_is_no_question_that_anything_passes() -> None:
    """Without its lemmas, with one that is wrong, with a longer scan, with another goal."""
    group, kept, goals = proved()
    part, slow = (model(group.part, ms, single=True) for ms in (LONGEST, 60_000))
    assert confirmed(part, kept, goals) == set(goals)
    assert confirmed(part, kept, dict.fromkeys(goals, ())) < set(goals)
    wrong = LemmaSet(kept.name, kept.freed, kept.about, (*kept.lemmas, "(not started)"))
    assert not confirmed(part, wrong, goals)
    assert not confirmed(slow, kept, goals)
    every = tuple(range(len(kept.lemmas)))
    valve = next(name for name in watched(PLAN).network.outputs if name in group.part.types)
    assert not confirmed(part, kept, {valve: every})
