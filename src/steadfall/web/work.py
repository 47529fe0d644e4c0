"""A process that works beside the page: one piece of work at a time, with word of how far it is, and a stop.

Rule of this file: the page never waits for the work and never does any. Where both want the processor the
page comes first. What does not stop when asked is ended, and a new process takes its place.
"""

from __future__ import annotations

import asyncio
import os
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Protocol

from attrs import define, field

from steadfall.progress import Cancelled, Progress
from steadfall.source import SteadfallError
from steadfall.words import _
from steadfall.workers import begun

LAST, LATER, AT_ONCE = 4, 2, 0  # by how much work stands behind the page (niceness)
TOLD, DONE, FAILED, STOP = "told", "done", "failed", "stop"
SELDOM_S = 0.1  # between two words of how far it is
Told = Callable[[float, float | None, str], None]


class Far(Progress):
    """How far the work is, said through the pipe; asked there whether to go on."""

    def __init__(self, pipe: Connection) -> None:
        self.pipe, self.stopped = pipe, False
        self.said_s = -SELDOM_S

    def tell(self, done: float, of: float | None, words: str) -> None:
        """Say it, but not more often than anybody can read."""
        if time.monotonic() - self.said_s >= SELDOM_S:
            self.said_s = time.monotonic()
            self.pipe.send((TOLD, (done, of, words)))

    def cancelled(self) -> bool:
        """Whether anything has come: only a stop can."""
        self.stopped = self.stopped or (self.pipe.poll() and self.pipe.recv() == STOP)
        return self.stopped


class Works(Protocol):
    """Whatever does a piece of work when it is asked to."""

    async def do(self, work: Callable[..., Any], *given: Any, told: Told | None = None) -> Any:
        """What `work(*given, progress)` gives; raises what it raises, Cancelled where it was stopped."""

    async def stop(self) -> None:
        """Stop the work under way, if there is any."""

    def ask(self) -> None:
        """Ask the work under way to stop, and wait for nothing."""

    def end(self) -> None:
        """Be gone, whatever it is doing."""


@define
class Worker:
    """The process, begun when it is first asked for something."""

    grace_s: float = 3.0  # to stop in order
    behind: int = LAST
    leaves_s: float = 0.0  # what its work has to put things in order before it is ended
    _process: BaseProcess | None = None
    _pipe: Connection | None = None
    _turn: asyncio.Lock = field(factory=asyncio.Lock)
    _wanted: bool = False  # the work under way is wanted

    async def do(self, work: Callable[..., Any], *given: Any, told: Told | None = None) -> Any:
        """What `work(*given, progress)` gives; raises what it raises, Cancelled where it was stopped."""
        async with self._turn:
            pipe = await asyncio.to_thread(self._ready)  # to begin one takes a while
            self._wanted = True
            pipe.send((work, given))
            try:
                while True:
                    kind, value = await asyncio.to_thread(pipe.recv)
                    if kind == TOLD and told and self._wanted:
                        told(*value)
                    elif kind == DONE:
                        return value
                    elif kind == FAILED:
                        raise value
            except (EOFError, OSError):
                raise (
                    RuntimeError(_("the process of the work has ended")) if self._wanted else _stopped()
                ) from None
            finally:
                self._wanted = False

    async def stop(self) -> None:
        """Stop the work under way, if there is any."""
        if not self._wanted or self._pipe is None:
            return
        self.ask()
        self._wanted, process = False, self._process
        for _turn in range(int(self.grace_s / 0.1)):
            if not self._turn.locked():
                return
            await asyncio.sleep(0.1)
        if self._turn.locked() and process is self._process:
            self.end()

    def ask(self) -> None:
        """Ask the work under way to stop, and wait for nothing."""
        if self._wanted and self._pipe is not None:
            with suppress(OSError):
                self._pipe.send(STOP)

    def end(self) -> None:
        """End the process, whatever it is doing; what must leave things in order has a moment for it."""
        if self._process is not None:
            if self._wanted and self.leaves_s:
                self.ask()
                self._process.join(self.leaves_s)
            self._process.kill()
            self._process.join()
        self._process = self._pipe = None

    def _ready(self) -> Connection:
        if self._process is None or not self._process.is_alive() or self._pipe is None:
            ours, theirs = Pipe()
            self._process, self._pipe = begun(_serve, theirs, self.behind), ours
            theirs.close()
        return self._pipe


def _serve(pipe: Connection, behind: int) -> None:
    """In the process: one piece of work after the other. Processes that it begins stand as far behind."""
    if hasattr(os, "nice"):  # not on Windows
        os.nice(behind)
    while True:
        try:
            asked = pipe.recv()
        except EOFError:
            return
        if asked == STOP:
            continue  # of work that was done already
        pipe.send(_answer(pipe, *asked))


def _answer(pipe: Connection, work: Callable[..., Any], given: tuple[Any, ...]) -> tuple[str, Any]:
    try:
        return DONE, work(*given, Far(pipe))
    except SteadfallError as error:
        return FAILED, error
    except Exception:  # ours: shown as such by the page
        return FAILED, RuntimeError(traceback.format_exc())


def _stopped() -> Cancelled:
    return Cancelled(_("stopped before the end"))
