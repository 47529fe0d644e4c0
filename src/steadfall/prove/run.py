"""Every requirement of a plan, decided on two processes while the caller is told how far it is."""

from __future__ import annotations

import multiprocessing
import pickle
import re
import signal
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.prove.ask import RUNS, Ask
from steadfall.prove.decide import Seen, decide
from steadfall.prove.demands.faults import Faults
from steadfall.prove.demands.watch import Required
from steadfall.prove.engines.drive import Driver, course, driver, run, scans_of
from steadfall.prove.engines.nudge import Witness, nudged
from steadfall.prove.requirements import Watched, watched
from steadfall.prove.result import NOT_TRIED, UNKNOWN, Proof, Verdict
from steadfall.source import NOWHERE, OutsideError, PlanError

Teller = Callable[[int, int, str], None]  # how many are done, of how many, the last one's sentence
SEEDS, SECONDS_OF_RUNS = 300, 8.0  # at most; ended when every requirement has been exercised
NUDGED_AFTER = (20, 40, 80, 160)  # seeds, after which the requirements that are left are exercised on purpose
WORKERS = 2


def silent(_done: int, _of: int, _what: str) -> None:
    """Tells nobody."""


def prove(
    plan: Plan,
    only: Sequence[str] = (),
    ask: Ask | None = None,
    tell: Teller = silent,
    *,
    faults: Faults | None = None,
    network: Network | None = None,
    workers: int = WORKERS,
) -> Proof:
    """The verdicts on a plan's requirements, or on those whose name begins with one of some words.

    `network` is what the controller does, where that is not the plan's own logic.
    """
    begin, how = time.monotonic(), ask or Ask()
    of = watched(plan, network, faults)
    chosen = pick(of, only)
    verdicts: dict[str, Verdict] = {}
    stopped = False
    try:
        for verdict in each_verdict(of, chosen, how, lambda: runs(of, chosen) if RUNS in how.engines else {}, workers):
            verdicts[verdict.required.name] = verdict
            tell(len(verdicts), len(chosen), verdict.required.sentence)
    except KeyboardInterrupt:
        stopped = True
    rows = tuple(verdicts.get(one.name, Verdict(one, UNKNOWN, notes=(NOT_TRIED,))) for one in chosen)
    return Proof(plan.title, plan.digest, rows, time.monotonic() - begin, of.faults.phrases, stopped)


def pick(of: Watched, only: Sequence[str]) -> tuple[Required, ...]:
    """The requirements asked for: by name, or by the words that a name begins with; raises PlanError."""
    problems, known = Problems(), [one.name for one in of.required]
    for word in only:
        if not any(named(name, word) for name in known):
            problems.unknown(NOWHERE, "--only", word, "requirement of this plan", known)
    if problems:
        raise PlanError(problems.found())
    return tuple(one for one in of.required if not only or any(named(one.name, word) for word in only))


def named(name: str, word: str) -> bool:
    """Whether a word stands for a requirement: its name, what its name begins with, or a valve or stage in it."""
    return name == word or name.startswith(f"{word}.") or f".{word}" in f".{name}"


def runs(of: Watched, chosen: Sequence[Required], seeds: int = SEEDS) -> dict[str, Seen]:
    """What runs of the controller show: when each requirement is exercised, which are broken."""
    one, begin = driver(of.plan, of.network), time.process_time()
    names = [*(row.exercised for row in chosen), *(row.bad for row in chosen), *of.network.outputs]
    first: dict[str, tuple[int, int]] = {}
    made: dict[str, Witness] = {}
    for seed in range(seeds):
        for name, scan in zip(names, run(one, course(one, seed), names), strict=True):
            if scan >= 0 and (name not in first or scan < first[name][1]):
                first[name] = seed, scan
        late = time.process_time() - begin > SECONDS_OF_RUNS
        if late or seed in NUDGED_AFTER:
            made |= nudged(one, _left(chosen, first, made), first)
        if late or (seed >= NUDGED_AFTER[0] and not _left(chosen, first, made)):
            break
    return {row.name: _seen(one, row, first, made) for row in chosen}


def _left(chosen: Sequence[Required], first: Mapping[str, Any], made: Mapping[str, Any]) -> list[Required]:
    """The requirements that no run has exercised yet."""
    return [row for row in chosen if row.exercised not in first and row.name not in made]


def _seen(one: Driver, row: Required, first: Mapping[str, tuple[int, int]], made: Mapping[str, Witness]) -> Seen:
    witness: Witness | None = {"by": RUNS, **made[row.name]} if row.name in made else None
    violation = None
    if row.exercised in first:
        seed, scan = first[row.exercised]
        witness = {"by": RUNS, "seed": seed, "scan": scan, "at_ms": sum(course(one, seed).dts[1 : scan + 1])}
    if row.bad in first:
        seed, scan = first[row.bad]
        violation = tuple(scans_of(one, course(one, seed), scan))
    return Seen(witness, violation)


def each_verdict(
    of: Watched, chosen: Sequence[Required], ask: Ask, look: Callable[[], Mapping[str, Seen]], workers: int
) -> Iterator[Verdict]:
    """The verdicts as they come, on so many processes; a solver in this one would not hear Ctrl-C.

    `look` gives what runs have shown; it is asked while the processes begin.
    """
    if workers < 2:
        seen = look()
        for row in chosen:
            yield decide(of, row, ask, seen.get(row.name, Seen()))
        return
    context, others = multiprocessing.get_context("spawn"), multiprocessing.active_children()
    groups = alike(of, chosen)
    many = max(1, min(workers, len(groups)))
    with (
        _on_file(of) as path,
        ProcessPoolExecutor(many, mp_context=context, initializer=_begin, initargs=(path,)) as pool,
    ):
        try:
            with _undisturbed():
                for _ in range(many):
                    pool.submit(_job, [], ask)
            seen = look()
            waiting: set[Future[list[Verdict]]] = {
                pool.submit(_job, [(row, seen.get(row.name, Seen())) for row in rows], ask) for rows in groups
            }
            while waiting:
                done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                for future in done:
                    yield from future.result()
        except BrokenExecutor:
            raise OutsideError(
                "a solver process ended by itself; try again with --only, or a shorter --limit"
            ) from None
        except (KeyboardInterrupt, GeneratorExit):
            pool.shutdown(wait=False, cancel_futures=True)
            for process in multiprocessing.active_children():  # a solver in the middle of a question does not listen
                if process not in others:
                    process.terminate()
            raise


@contextmanager
def _on_file(of: Watched) -> Iterator[Path]:
    """What the processes work on, as a file: a pipe to one that dies as it begins would be written to for ever."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "watched"
        path.write_bytes(pickle.dumps(of))
        yield path


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Ctrl-C waits, and processes that are begun meanwhile never hear of it: one process stops them all."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def alike(of: Watched, chosen: Sequence[Required]) -> list[list[Required]]:
    """The requirements in groups that say the same of other circuits: one process answers them, most of them once.

    The long ones first, so that no process is left with one of them at the end.
    """
    circuits = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in of.plan.circuits))
    found: dict[str, list[Required]] = {}
    for row in sorted(chosen, key=lambda row: "_dose." not in row.name):
        found.setdefault(circuits.sub("#", row.sentence), []).append(row)
    return list(found.values())


_OF: list[Watched] = []  # of this process


def _begin(path: Path) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _OF[:] = [pickle.loads(path.read_bytes())]


def _job(rows: Sequence[tuple[Required, Seen]], ask: Ask) -> list[Verdict]:
    return [decide(_OF[0], row, ask, seen) for row, seen in rows]
