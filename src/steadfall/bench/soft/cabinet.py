"""A soft controller that serves: it scans at its scan time, and others read and write.

Rule of this file: one event loop scans and serves, so that a scan sees all that was written before it and
nothing of what comes while it runs.
"""

from __future__ import annotations

import asyncio
import math
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from attrs import frozen

from steadfall.bench.soft.controller import Soft
from steadfall.logic.nodes import Value
from steadfall.source import OutsideError

MS = 1_000_000  # ns
ASK_EVERY_S = 0.2
KEEP_EVERY_MS = 1_000


class Face(Protocol):
    """What others see of it, over one protocol."""

    async def start(self) -> str:
        """Begin to serve; the address."""

    async def collect(self) -> dict[str, Value]:
        """The inputs as others have written them."""

    async def publish(self, values: Mapping[str, Value]) -> None:
        """What the last scan made."""

    async def stop(self) -> None:
        """Serve no more."""


@frozen
class Served:
    """What came of serving: scans, the longest time between two of them in ms, scans that came late."""

    scans: int
    longest_ms: float
    late: int


class Cabinet:
    """A soft controller with its faces; `start` gives their addresses, `stop` ends it.

    `keep` is handed what it retains, once a second where that has changed, and at its end.
    """

    def __init__(
        self,
        soft: Soft,
        faces: Sequence[Face],
        scan_ms: int,
        begin: Mapping[str, Value],
        keep: Callable[[Mapping[str, Value]], None] | None = None,
    ) -> None:
        self._soft, self._faces, self._scan_ms = soft, faces, scan_ms
        self._keep, self._kept = keep, dict[str, Value]()
        self._panel = [row.name for row in soft.network.inputs if row.retained]
        self._inputs = dict(begin)
        self._seen: list[dict[str, Value]] = []
        self._stopping = threading.Event()
        self._addresses: list[str] = []
        self._failed: BaseException | None = None
        self._started = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self.longest_ns, self.late = 0, 0

    def start(self) -> tuple[str, ...]:
        """Begin to scan and serve. Raises OutsideError where a port is taken."""
        self._thread.start()
        self._started.wait()
        if self._failed:
            raise self._failed
        return tuple(self._addresses)

    def stop(self) -> Served:
        """End it."""
        self._stopping.set()
        self._thread.join()
        if self._failed:
            raise self._failed
        return self.served()

    def wait(self, lasting: float | None = None) -> None:
        """So many seconds, or until it has failed."""
        until = math.inf if lasting is None else time.monotonic() + lasting
        while self._thread.is_alive() and time.monotonic() < until:
            self._thread.join(min(ASK_EVERY_S, max(0.0, until - time.monotonic())))

    def served(self) -> Served:
        """How it goes."""
        return Served(self._soft.scans, self.longest_ns / MS, self.late)

    def _run(self) -> None:
        try:
            asyncio.run(self._serve())
        except BaseException as failure:
            self._failed = (
                failure if isinstance(failure, OutsideError) else OutsideError(f"serving ended: {failure}")
            )
        finally:
            self._started.set()

    async def _serve(self) -> None:
        begun: list[Face] = []
        try:
            for face in self._faces:
                begun.append(face)
                self._addresses.append(await face.start())
                await face.publish({**self._inputs, **self._soft.shown()})
                self._seen.append(await face.collect())
            self._started.set()
            await self._scan()
            self._keep_now()
        finally:
            for face in begun:
                await face.stop()

    async def _scan(self) -> None:
        last = due = time.monotonic_ns()
        counted = 0  # ms that the controller has been told of
        begin, kept_at = last, last
        while not self._stopping.is_set():
            due += self._scan_ms * MS
            await asyncio.sleep(max(0.0, (due - time.monotonic_ns()) / 1e9))
            now = time.monotonic_ns()
            self.longest_ns = max(self.longest_ns, now - last)
            if now > due + self._scan_ms * MS:  # it does not catch up
                self.late += 1
                due = now
            last, whole = now, (now - begin) // MS
            await self._take()
            shown = self._soft.scan(whole - counted, self._inputs)
            counted = whole
            for face in self._faces:
                await face.publish(shown)
            if now - kept_at >= KEEP_EVERY_MS * MS:
                kept_at = now
                self._keep_now()

    def _keep_now(self) -> None:
        if self._keep is None:
            return
        panel = {name: self._inputs[name] for name in self._panel if name in self._inputs}
        kept = {**self._soft.kept(), **panel}
        if kept != self._kept:
            self._keep(kept)
            self._kept = kept

    async def _take(self) -> None:
        """What was written since the last scan, over whichever face."""
        for at, face in enumerate(self._faces):
            found = await face.collect()
            self._inputs |= {
                name: value for name, value in found.items() if self._seen[at].get(name) != value
            }
            self._seen[at] = found
