"""Requirements decided on several processes.

Rule of this file: solvers run in processes that this one begins and ends; where one fails, this one says so.
"""

from __future__ import annotations

import multiprocessing
import pickle
import re
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import Verdict
from steadfall.prove.decide.simulation import Simulated
from steadfall.prove.decide.verdict import decide
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.source import OutsideError


def each_verdict(
    of: Watched,
    chosen: Sequence[Required],
    ask: Ask,
    look: Callable[[], Mapping[str, Simulated]],
    workers: int,
) -> Iterator[Verdict]:
    """The verdicts as they come, on so many processes; a solver in this one would not hear Ctrl-C.

    `look` gives what runs have shown; it is asked while the processes begin.
    """
    if workers < 2:
        seen = look()
        for row in chosen:
            yield decide(of, row, ask, seen.get(row.name, Simulated()))
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
                pool.submit(_job, [(row, seen.get(row.name, Simulated())) for row in rows], ask)
                for rows in groups
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
            for (
                process
            ) in multiprocessing.active_children():  # a solver in the middle of a question does not listen
                if process not in others:
                    process.terminate()
            raise


@contextmanager
def _on_file(of: Watched) -> Iterator[Path]:
    """What the processes work on, as a file: a pipe to one that dies as it begins would be written to for
    ever.
    """
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
    """The requirements in groups that say the same of other circuits: one process answers them, most of them
    once.

    Those of the whole plan first, then doses: no process is left with a long one at the end.
    """
    circuits = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in of.plan.circuits))
    found: dict[str, list[Required]] = {}
    for row in sorted(chosen, key=lambda row: (bool(row.circuit), "_dose." not in row.name)):
        found.setdefault(circuits.sub("#", row.sentence), []).append(row)
    return list(found.values())


_OF: list[Watched] = []  # of this process


def _begin(path: Path) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _OF[:] = [pickle.loads(path.read_bytes())]


def _job(rows: Sequence[tuple[Required, Simulated]], ask: Ask) -> list[Verdict]:
    return [decide(_OF[0], row, ask, seen) for row, seen in rows]
