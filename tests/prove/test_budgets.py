"""Work is counted, not timed: the same verdicts on any machine, in any order, on any number of processes."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from itertools import count

import attrs
import pytest

from steadfall.logic.cone import cone
from steadfall.plan.model import EveryOpening
from steadfall.prove.compare.compare import How, compare_plans
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.certificate import text_of
from steadfall.prove.decide.result import AT_THE_LIMIT, PROVED, REFUTED, UNKNOWN, Proof, lemma_sets
from steadfall.prove.engines import bounded, spacer
from steadfall.prove.requirements.whole import watched
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.solver.space import Space
from steadfall.prove.whole.plan import prove_whole
from steadfall.prove.whole.run import prove
from tests.prove.plans import demo, guarded

PLAN = guarded(
    EveryOpening("upper.mist", 50, None, True, ""),
    EveryOpening("upper.mist", None, 60, True, ""),
    shortest_open_ms=50,
    shortest_shut_ms=50,
)
ONLY = ("stated", "upper.mist")
HARD = "upper.first_doses.mist_dose.comes_again"


def rows(proof: Proof) -> list[object]:
    """All that is said of each requirement, but how long it took, and the lemmas that were kept."""
    said: list[object] = [attrs.evolve(row, seconds=0.0).as_json() for row in proof.verdicts]
    return [*said, *(kept.as_json() for kept in lemma_sets(proof.verdicts))]


@pytest.fixture
def rushing(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Clocks that are an hour further whenever somebody looks: a very slow machine."""
    hours = count(1)
    for clock in ("monotonic", "process_time", "perf_counter"):
        monkeypatch.setattr(time, clock, lambda: 3600.0 * next(hours))
    yield
    monkeypatch.undo()


@pytest.mark.usefixtures("rushing")
def test_no_clock_decides_a_verdict() -> None:
    found = prove_whole(PLAN, ONLY, workers=1)
    assert {row.verdict for row in found.verdicts} == {PROVED, REFUTED}


@pytest.mark.usefixtures("rushing")
def test_no_clock_decides_a_comparison() -> None:
    other = guarded(shortest_open_ms=60, shortest_shut_ms=50)
    found = compare_plans(PLAN, other)
    assert {row.verdict for row in found.each} == {"equal", "parts"}


@pytest.mark.slow
def test_two_processes_say_what_one_says() -> None:
    alone, together = (prove(PLAN, ONLY, workers=workers) for workers in (1, 2))
    assert rows(alone) == rows(together)


def test_what_is_found_does_not_hang_on_what_was_asked_before() -> None:
    of = watched(demo())
    bad = next(row.bad for row in of.required if row.name == HARD)

    def asked() -> tuple[str, int]:
        part, budget = of.model(cone(of.network, [bad], lambda name: name == "tripped")), Budget(3_000_000)
        found = spacer.invariant(part, part.values[bad], budget)
        return text_of(found) if terms.is_expr(found) else str(found), budget.left

    first = asked()
    for row in of.required[::20]:
        part = of.model(cone(of.network, [row.bad]))
        spacer.invariant(part, part.values[row.bad], Budget(300_000))
    assert asked() == first


@pytest.mark.parametrize("most", [100_000, 400_000])
def test_the_fixed_point_engine_ends_when_its_budget_is_spent(most: int) -> None:
    of = watched(demo())
    bad = next(row.bad for row in of.required if row.name == HARD)
    part, budget = of.model(cone(of.network, [bad])), Budget(most)
    assert spacer.invariant(part, part.values[bad], budget, looked=True) is None
    assert -most / 10 < budget.left <= 0


def holes(space: Space, many: int) -> list[object]:
    """That more pigeons than holes each have one of their own: hard for any solver of this kind."""
    of = [[space.boolean(f"{bird} in {hole}") for hole in range(many)] for bird in range(many + 1)]
    facts = [terms.Or(row) for row in of]
    for hole in range(many):
        facts += [
            terms.Not(terms.And(of[one][hole], of[two][hole]))
            for one in range(many + 1)
            for two in range(one)
        ]
    return facts


def test_a_question_ends_when_its_budget_is_spent() -> None:
    space, whole = Space(), Budget(50_000)
    solver, part = Solver(space), whole.part(20_000)
    solver.add(*holes(space, 12))
    assert solver.ask(part) is Answer.OPEN
    assert part.empty
    assert whole.left < 50_000 - 20_000
    assert solver.ask(part) is Answer.OPEN  # nothing is left to ask with


@pytest.mark.skipif(sys.platform == "win32", reason="no signal can be sent to a process alone there")
def test_ctrl_c_is_heard_in_the_middle_of_a_question() -> None:
    space, over = Space(), threading.Event()
    solver = Solver(space)
    solver.add(*holes(space, 14))

    def press() -> None:
        while not over.wait(0.2):
            os.kill(os.getpid(), signal.SIGINT)

    thread = threading.Thread(target=press)
    with pytest.raises(KeyboardInterrupt):  # noqa: PT012 - the key may be pressed at any moment from here on
        thread.start()
        try:
            solver.ask(Budget(10**12))
        finally:
            over.set()
            thread.join()


def test_little_effort_leaves_much_unknown_and_says_how_to_get_more() -> None:
    found = prove(demo(), (HARD,), Ask(effort=1000), workers=1)
    assert [row.verdict for row in found.verdicts] == [UNKNOWN]
    assert "--effort gives more" in found.verdicts[0].notes[0]


@pytest.mark.parametrize("workers", [1, 2])
def test_at_the_limit_what_is_open_is_unknown(workers: int) -> None:
    found = prove_whole(PLAN, ONLY, workers=workers, limit=1e-6)
    assert found.stopped
    assert {(row.verdict, row.notes) for row in found.verdicts} == {(UNKNOWN, (AT_THE_LIMIT,))}


def test_at_the_limit_a_comparison_knows_nothing_more() -> None:
    found = compare_plans(PLAN, guarded(shortest_open_ms=60, shortest_shut_ms=50), How(limit=1e-6))
    assert {row.verdict for row in found.each} <= {"unknown", "equal"}


def test_a_search_goes_as_deep_as_its_budget_allows() -> None:
    of = watched(demo())
    bad = next(row.bad for row in of.required if row.name == HARD)
    part = of.model(cone(of.network, [bad]))
    depths = [bounded.search(part, part.values[bad], 40, Budget(most))[1] for most in (10_000, 300_000)]
    assert depths[0] < depths[1] < 40
