"""What is tried by hand, as the page holds it: all that happened so far, and the pace at which it goes on.

Rule of this file: it follows the clock and never catches up. What the process beside the page cannot do in
time is left out and said, and where nobody looks any more it stands still.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from typing import Any

from attrs import define, field

from steadfall.app.given.document import document
from steadfall.app.page.refuted import Refuted
from steadfall.source import AskError, SteadfallError
from steadfall.web.trial import NONE, Begin, Order, Reason, asked, begun, kept, ordered, replayed
from steadfall.web.work import Works
from steadfall.words import _

TICK_S = 0.06  # between two looks at the clock
MOST_S = 0.25  # of the clock at most in one go: a longer wait is left out
LEFT_S = 10.0  # after which nobody looks any more
SPEEDS = 1, 2, 5, 10, 20, 60
SAMPLES = 4000  # at most that a tab is handed at once
BEGIN = Begin()
SLOW = 0.9  # of the pace that was asked for


@define
class Live:
    """The trial of one server, which all tabs share."""

    worker: Works
    clock: Callable[[], float] = time.monotonic
    sheet: dict[str, Any] = field(factory=dict)  # empty: nothing is under way
    digest: str = ""  # of the text that is tried
    number: int = 0  # one more whenever all must be drawn anew
    now: dict[str, Any] = field(factory=dict)
    changes: list[Any] = field(factory=list)
    samples: list[Any] = field(factory=list)
    goes: bool = False
    speed: int = 1
    pace: float = 0.0  # at which it really goes, while it does
    words: str = ""  # while it is laid out
    failed: str = ""
    listeners: list[Callable[[], None]] = field(factory=list)
    _looked: float = 0.0
    _task: asyncio.Task[None] | None = None

    async def begin(self, text: str, name: str, digest: str, of: Refuted | Begin = BEGIN) -> None:
        """Lay out a plan's trial, of a scenario where one is named, or the run of a broken requirement."""
        self.goes, self.failed, self.words = False, "", _("getting ready")
        self.tell()
        try:
            work = begun if isinstance(of, Begin) else replayed
            self.sheet, news = await self.worker.do(work, text, name, of, told=self._far)
            self.digest = digest
            self._anew(news)
        except (SteadfallError, RuntimeError) as error:
            self.sheet, self.failed = {}, str(error)
        finally:
            self.words = ""
            self.tell()

    def start(self) -> None:
        """Go on with the clock."""
        if not self.sheet:
            raise AskError(NONE)
        if not self.goes:
            self.goes, self.pace, self._looked = True, float(self.speed), self.clock()
            self._task = asyncio.get_running_loop().create_task(self._follow())
            self.tell()

    def pause(self) -> None:
        """Stand still."""
        self.goes = False
        self.tell()

    async def step(self) -> None:
        """One scan."""
        self.pause()
        await self.order(("step",))

    async def back(self, ms: int) -> None:
        """Stand at a moment before."""
        self.pause()
        self._anew(await self.worker.do(ordered, [("back", ms)], True))
        self.tell()

    async def order(self, *orders: Order) -> None:
        """Do something; what happened is kept."""
        self._take(await self.worker.do(ordered, orders, False))

    async def why(self, signal: str, at_ms: int) -> tuple[Reason, ...]:
        """Why a signal has its value at a moment."""
        self.pause()
        found: tuple[Reason, ...] = await self.worker.do(asked, signal, at_ms)
        return found

    async def kept(self, text: str, file: str, name: str) -> str:
        """A text with what was done as a scenario in it."""
        made: str = await self.worker.do(kept, text, file, name)
        return made

    def news(self, number: int, changes: int, samples: int) -> dict[str, Any]:
        """What a tab has not drawn yet, by what it has; all of it where it has drawn something else."""
        self._looked = self.clock()
        if number != self.number:
            changes = samples = 0
        begin = max(samples, len(self.samples) - SAMPLES)
        state = {"number": self.number, "going": self.goes, "speed": self.speed, "pace": round(self.pace, 1)}
        until = {"changes_to": len(self.changes), "samples_to": len(self.samples)}
        given = {"changes": self.changes[changes:], "samples": self.samples[begin:]}
        sheet = self.sheet if number != self.number else None
        return {**self.now, **state, **until, **given, "sheet": sheet}

    def as_json(self) -> dict[str, Any]:
        """All of it, in stable names (docs/json.md)."""
        state = {"going": self.goes, "speed": self.speed, "pace": round(self.pace, 1), "failed": self.failed}
        if not self.sheet:
            return document(None, False, {**state, "words": self.words})
        return {**self.sheet, **self.now, **state, "changes": self.changes, "samples": self.samples}

    def end(self) -> None:
        """Let go of it."""
        self.goes = False
        self.worker.end()

    def forget(self) -> None:
        """Another plan is on the desk."""
        self.goes, self.sheet, self.failed = False, {}, ""
        self._anew({})
        self.tell()

    def tell(self) -> None:
        """Tell all who listen."""
        for listener in tuple(self.listeners):
            listener()

    async def _follow(self) -> None:
        """Go on as the clock does, until it is to stand still."""
        begun, at_ms, speed = self.clock(), float(self.now["now_ms"]), self.speed
        mine = asyncio.current_task()
        try:
            while not self.now["over"] and self.clock() - self._looked < LEFT_S:
                await asyncio.sleep(TICK_S)
                if not self.goes or self._task is not mine:
                    return
                passed = self.clock() - begun
                due = at_ms + 1000.0 * speed * min(passed, MOST_S)
                await self.order(("until", int(due)))
                # What was left out is gone; a part of a scan is owed, where time has not run away.
                self.pace += 0.1 * (1e-3 * (due - at_ms) / max(passed, 1e-6) - self.pace)
                begun, at_ms, speed = begun + passed, due, self.speed
        except (SteadfallError, RuntimeError) as error:
            self.failed = str(error)
        finally:
            if self._task is mine:
                self.goes = False
                self.tell()

    def _anew(self, news: dict[str, Any]) -> None:
        self.changes, self.samples = [], []
        self.number += 1
        self._take(news)

    def _take(self, news: dict[str, Any]) -> None:
        self.changes += news.pop("changes", [])
        self.samples += news.pop("samples", [])
        self.now = news

    def _far(self, _done: float, _of: float | None, words: str) -> None:
        self.words = words
        self.tell()
