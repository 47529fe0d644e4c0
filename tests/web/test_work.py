"""The process beside the page: it says how far it is, stops when asked, and is ended where it does not."""

from __future__ import annotations

import asyncio
import os
import time
from collections.abc import Coroutine
from pathlib import Path
from typing import Any

import psutil
import pytest

from steadfall.progress import Cancelled, Progress
from steadfall.source import AskError
from steadfall.web.session import Recent, Session
from steadfall.web.work import LAST, STOP, Worker

STUBBORN, CYCLE_S = 3600.0, 0.1


def work(what: str, progress: Progress) -> Any:
    """A piece of work for each thing that may come of one."""
    if what == "refused":
        raise AskError("there is no such thing")
    if what == "ours":
        raise ZeroDivisionError("a fault of ours")
    if what == "stubborn":
        progress.tell(0.0, 1.0, what)
        time.sleep(STUBBORN)
    while what == "endless":
        progress.step(0.0, None, what)
    progress.step(1.0, 2.0, "half of it")
    return os.getpid()


def run(story: Coroutine[Any, Any, None]) -> None:
    asyncio.run(story)


async def stopped(worker: Worker, what: str) -> None:
    """Begin, stop as soon as it is under way, and see it end as stopped."""
    under_way = asyncio.Event()
    task = asyncio.create_task(worker.do(work, what, told=lambda *_: under_way.set()))
    await under_way.wait()
    await worker.stop()
    with pytest.raises(Cancelled):
        await task


def test_one_process_does_one_thing_after_the_other() -> None:
    async def story() -> None:
        worker, told = Worker(grace_s=0.2), list[tuple[float, float | None, str]]()
        first = await worker.do(work, "good", told=lambda *far: told.append(far))
        own = psutil.Process()
        assert os.name != "posix" or psutil.Process(first).nice() == min(19, own.nice() + LAST)
        assert told == [(1.0, 2.0, "half of it")]
        assert first != os.getpid()
        with pytest.raises(AskError, match="no such thing"):
            await worker.do(work, "refused")
        with pytest.raises(RuntimeError, match="a fault of ours"):
            await worker.do(work, "ours")
        await stopped(worker, "endless")
        assert await worker.do(work, "good") == first  # the stop was of the other work
        await stopped(worker, "stubborn")
        assert not psutil.pid_exists(first)
        second = await worker.do(work, "good")
        assert second != first
        worker.end()
        assert not psutil.pid_exists(second)

    run(story())


class Driving:
    """A process and its pipe, in which somebody stands at a controller until a stop is heard."""

    def __init__(self) -> None:
        self.inputs, self.killed_with = "calling", ""
        self._stop_heard = False

    def send(self, word: object) -> None:
        self._stop_heard = self._stop_heard or word == STOP

    def join(self, seconds: float | None = None) -> None:
        if self._stop_heard and (seconds is None or seconds >= CYCLE_S):
            self.inputs = "safe"

    def kill(self) -> None:
        self.killed_with = self.inputs


@pytest.mark.parametrize("heard", [False, True])
def test_before_the_bench_is_ended_its_inputs_are_put_to_rest(heard: bool, tmp_path: Path) -> None:
    session, process = Session(tmp_path, recent=Recent(None)), Driving()
    own: Any = session.bench.worker
    own._process, own._pipe, own._wanted = process, process, True
    if heard:  # Ctrl-C, before the server has closed
        session.ends()
        assert process._stop_heard
    session.end()
    assert process.killed_with == "safe"
