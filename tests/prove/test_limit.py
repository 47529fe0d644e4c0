"""A person's patience ends whatever is being done: the process that waits does nothing that takes long."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest
from attrs import define, evolve, field

from steadfall.app.prove import How, prove
from steadfall.plan.model import Fault, Never, Plan, Whenever
from steadfall.plan.model.condition import Signal
from steadfall.progress import Cancelled, Progress
from steadfall.prove.compare import compare
from steadfall.prove.decide import processes
from steadfall.prove.decide.processes import AtTheLimit, Hands, Patience, hands
from steadfall.prove.decide.result import AT_THE_LIMIT, REFUTED, Proof
from steadfall.prove.engines import recheck
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Solver
from steadfall.prove.solver.space import Space
from steadfall.prove.whole import plan as whole
from steadfall.prove.whole.plan import prove_whole
from steadfall.runs.player import Fast, Interpreter
from tests.prove.plans import guarded
from tests.prove.test_budgets import holes

MIST, CALL = Signal("upper.mist"), Signal("full_call")
ONLY = ("stated", "upper.mist.shortest_open")
LONG = 3600.0  # s


def plan() -> Plan:
    """One stated requirement is broken, one is kept."""
    items = (Never(MIST, ""), Whenever(CALL, MIST, 0, 0, ""))
    made = guarded(*items, shortest_open_ms=50, shortest_shut_ms=50)
    return evolve(made, faults=(Fault("full_call bounces"), Fault("power cut")), text="title: small\n")


@pytest.fixture
def idle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets no run be played and no solver be asked by this process."""

    def never(*_: object, **__: object) -> None:
        raise AssertionError("the process that waits does what may take long")

    for owner, name in ((Fast, "_play"), (Interpreter, "play"), (Solver, "ask"), (recheck, "answers")):
        monkeypatch.setattr(owner, name, never)


@pytest.mark.usefixtures("idle")
@pytest.mark.slow
def test_with_a_limit_the_process_that_waits_only_waits() -> None:
    made = prove(plan(), How(ONLY, limit=LONG))
    assert not made.proof.stopped
    assert REFUTED in {row.verdict for row in made.verdicts}
    assert len(made.proof.under) == 2
    assert made.violations


@pytest.mark.usefixtures("idle")
def test_with_a_limit_a_comparison_only_waits() -> None:
    other = guarded(shortest_open_ms=60, shortest_shut_ms=50, clock="keep")
    found = compare.compare_plans(plan(), other, compare.How(limit=LONG))
    assert "equal" in {row.verdict for row in found.each}


@define(eq=False)
class Stopping(Hands):
    """A patience that ends when so many jobs are done."""

    most: int
    patience: Patience = Patience()
    jobs: list[str] = field(factory=list)

    def each(self, job: Callable[[Any, Any], Any], about: Any, given: Sequence[Any]) -> Iterator[Any]:
        """As usual, until then."""
        for one in given:
            if len(self.jobs) >= self.most:
                raise AtTheLimit("stopped at the limit")
            self.jobs.append(job.__name__)
            yield job(about, one)


def test_whatever_is_stopped_what_was_settled_before_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    known, before = dict[str, str](), -1

    def stopped_after(jobs: int) -> tuple[Proof, int]:
        own = Stopping(jobs)
        monkeypatch.setattr(whole, "hands", lambda *_: nullcontext(own))
        return prove_whole(plan(), ("stated",), limit=LONG), len(own.jobs)

    whole_proof, many = stopped_after(10**6)
    known = {row.required.name: row.verdict for row in whole_proof.verdicts}
    assert not whole_proof.stopped
    for jobs in range(many):
        found, _ = stopped_after(jobs)
        assert found.stopped
        settled = [row for row in found.verdicts if row.notes != (AT_THE_LIMIT,)]
        assert all(row.verdict == known[row.required.name] for row in settled)
        assert len(settled) >= before
        before = len(settled)


class Seen(Progress):
    """Wants no more as soon as a file is there."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def cancelled(self) -> bool:
        """Whether it is there."""
        return self.path.exists()


def sleeping(path: Path, _: object) -> None:
    """Hears nothing for an hour."""
    path.touch()
    time.sleep(LONG)


def asking(path: Path, _: object) -> None:
    """Asks a solver what it does not answer."""
    solver = Solver(space := Space())
    solver.add(*holes(space, 20))
    path.touch()
    solver.ask(Budget(10**15))


@pytest.mark.parametrize("job", [sleeping, asking])
def test_what_has_begun_is_ended(job: Callable[..., None], tmp_path: Path) -> None:
    begun = tmp_path / "begun"
    with pytest.raises(Cancelled), hands(1, Patience(Seen(begun))) as own:
        own.one(job, begun, None)


def test_at_the_limit_what_has_begun_is_ended(tmp_path: Path) -> None:
    with pytest.raises(AtTheLimit), hands(1, Patience(until=0.0)) as own:
        own.one(sleeping, tmp_path / "begun", None)


class Clock:
    """A clock that goes on by what is waited, and by nothing else."""

    now = 0.0

    def monotonic(self) -> float:
        """The time on it."""
        return self.now

    def wait(self, waiting: set[Future[Any]], timeout: float, **_: object) -> tuple[set[Any], set[Any]]:
        """Nothing is done by then."""
        assert self.now < LONG
        self.now += timeout
        return set(), waiting


class Busy:
    """Processes that never come to an end."""

    def submit(self, *_: object) -> Future[Any]:
        """What will never be done."""
        return Future()


def test_the_process_that_waits_sees_the_limit_within_a_second(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock, limit = Clock(), 7.3
    monkeypatch.setattr(processes, "time", clock)
    monkeypatch.setattr(processes, "wait", clock.wait)
    own: Any = processes.ManyHands(Patience(until=limit), Busy(), tmp_path)  # type: ignore[arg-type]
    with pytest.raises(AtTheLimit):
        own.one(sleeping, None, None)
    assert limit < clock.now < limit + 1.0
