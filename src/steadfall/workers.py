"""Processes that work for this one, and that end with it whatever they are doing.

Rule of this file: the processes never hear of Ctrl-C, this one does and ends them; and a process whose
parent has gone, however it went, goes too.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from functools import lru_cache
from multiprocessing import resource_tracker
from multiprocessing.connection import wait
from typing import Any, Generic, Protocol, TypeVar, cast

from attrs import frozen

Task = TypeVar("Task")
Done = TypeVar("Done")
Whole = TypeVar("Whole")
NUMBERS = (signal.SIGINT, signal.SIGTERM)


def _nothing(*_: object) -> None:
    """Nothing is prepared, nothing is done."""


@contextmanager
def workers(many: int, begin: Callable[..., None] = _nothing, *given: Any) -> Iterator[ProcessPoolExecutor]:
    """So many processes, each of which calls `begin(*given)` first; left by an error, they are killed.

    They are spawned, not forked, so that no thread's lock is copied; a script that calls this needs the usual
    `if __name__ == "__main__":`.
    """
    _watch_locks()
    others = multiprocessing.active_children()
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(many, mp_context=context, initializer=_begin, initargs=(begin, given))
    try:
        with undisturbed():
            for _ in range(many):
                pool.submit(_nothing)
        yield pool
    except BaseException:  # a process in the middle of a task does not listen
        end_all(others)
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    else:
        pool.shutdown(cancel_futures=True)


class Crew(Protocol):
    """Who works off tasks: processes of this machine, or a cluster."""

    @property
    def many(self) -> int:
        """How many tasks at once."""

    def each(self, work: Callable[[Task], Done], tasks: Sequence[Task]) -> Iterator[Done]:
        """What comes of each task, as it comes, in any order. A task carries all that it needs."""


@frozen
class Processes:
    """Processes of this machine; with one, nothing is started."""

    many: int = 1

    def each(self, work: Callable[[Task], Done], tasks: Sequence[Task]) -> Iterator[Done]:
        """What comes of each task, as it comes."""
        many = min(self.many, len(tasks))
        if many <= 1:
            yield from map(work, tasks)
            return
        with workers(many) as pool:
            for done in as_completed([pool.submit(work, task) for task in tasks]):
                yield done.result()


@frozen
class Packed(Generic[Whole]):
    """What many small tasks have in common: packed once, and unpacked once in each process that gets it. It
    is shared by all that open it, so nobody may change it.
    """

    content: bytes

    @classmethod
    def of(cls, whole: Whole) -> Packed[Whole]:
        """Pack it."""
        return cls(pickle.dumps(whole, pickle.HIGHEST_PROTOCOL))

    def open(self) -> Whole:
        """What was packed."""
        return cast("Whole", _unpacked(self.content))


@lru_cache(maxsize=2)
def _unpacked(content: bytes) -> object:
    return cast("object", pickle.loads(content))


def begun(work: Callable[..., None], *given: Any) -> multiprocessing.process.BaseProcess:
    """One process that does a piece of work beside us, and may itself begin others; whoever begins it ends
    it.
    """
    _watch_locks()
    process = multiprocessing.get_context("spawn").Process(target=_begin, args=(work, given))
    with undisturbed():
        process.start()
    return process


@frozen(eq=False)
class _Staying:
    """Processes that were begun before and stay."""

    many: int
    pool: ProcessPoolExecutor

    def each(self, work: Callable[[Task], Done], tasks: Sequence[Task]) -> Iterator[Done]:
        """What comes of each task, as it comes."""
        for done in as_completed([self.pool.submit(work, task) for task in tasks]):
            yield done.result()


@contextmanager
def staying(crew: Crew, begin: Callable[..., None] = _nothing) -> Iterator[Crew]:
    """The same crew for many small batches: its processes are begun once, each calls `begin` first, and they
    stay until the end.
    """
    if not isinstance(crew, Processes) or crew.many <= 1:
        yield crew
        return
    with workers(crew.many, begin) as pool:
        yield _Staying(crew.many, pool)


def _watch_locks() -> None:
    """Begin Python's own process that removes the locks of killed ones, so that it does so without a word: a
    lock that is just being removed when Ctrl-C ends everything is no news.
    """
    if os.name != "posix":
        return  # there is none
    given = sys.warnoptions[:]
    sys.warnoptions.append("ignore:resource_tracker")  # as it is begun, it is handed these
    try:
        resource_tracker.ensure_running()
    finally:
        sys.warnoptions[:] = given


def end_all(but: list[multiprocessing.process.BaseProcess] | None = None) -> None:
    """Kill the processes that this one has begun, but for some."""
    for process in multiprocessing.active_children():
        if process not in (but or ()):
            process.kill()


@contextmanager
def undisturbed() -> Iterator[None]:
    """Ctrl-C waits, whichever thread gets it; processes and threads that are begun meanwhile never do."""
    waiting: list[int] = []
    first = threading.current_thread() is threading.main_thread()
    handlers = {number: signal.getsignal(number) for number in NUMBERS} if first else {}
    own = {number: handler for number, handler in handlers.items() if callable(handler)}
    for number in own:
        signal.signal(number, lambda number, _: waiting.append(number))
    masks = hasattr(signal, "pthread_sigmask")  # not on Windows
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT}) if masks else set()
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
        for number, handler in own.items():
            signal.signal(number, handler)
        for heard in waiting:
            own[signal.Signals(heard)](heard, None)


def _begin(begin: Callable[..., None], given: tuple[Any, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    begin(*given)


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
