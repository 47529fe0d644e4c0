"""Where the work of a proof is done: in this process, or on processes of its own that can be ended at once.

Rule of this file: a solver in the middle of a question hears nothing, so what a person waits for is done by
processes that this one begins, waits for and kills. What comes out does not depend on how many there are nor
on which of them was quicker; only the order in which it comes does.
"""

from __future__ import annotations

import pickle
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from attrs import define, field, frozen

from steadfall.progress import SILENT, Cancelled, Progress
from steadfall.source import OutsideError
from steadfall.workers import workers

LOOK = 0.2  # s, between two looks at whether to go on


class AtTheLimit(Cancelled):
    """A person's patience is over."""


@frozen
class Patience:
    """When to stop although not all is known: when whoever asked wants no more, or at a moment."""

    progress: Progress = SILENT
    until: float = float("inf")  # by `time.monotonic`

    def check(self) -> None:
        """Raises Cancelled, or AtTheLimit, when it is over."""
        if self.progress.cancelled():
            raise Cancelled("stopped before the end")
        if time.monotonic() > self.until:
            raise AtTheLimit("stopped at the limit")


@frozen(eq=False)
class Hands:
    """Does jobs, one after the other, in this process; looks between two of them whether to go on.

    A job is a function of what it is about and of what it is given.
    """

    patience: Patience = Patience()

    def each(self, job: Callable[[Any, Any], Any], about: Any, given: Sequence[Any]) -> Iterator[Any]:
        """What the job makes of each, in any order."""
        for one in given:
            self.patience.check()
            yield job(about, one)

    def one(self, job: Callable[[Any, Any], Any], about: Any, given: Any) -> Any:
        """What the job makes of one thing."""
        return next(iter(self.each(job, about, [given])))


@define(eq=False)
class ManyHands(Hands):
    """Does jobs on processes, several at once."""

    patience: Patience
    pool: ProcessPoolExecutor
    folder: Path
    _filed: list[tuple[Any, Path]] = field(factory=list)

    def each(self, job: Callable[[Any, Any], Any], about: Any, given: Sequence[Any]) -> Iterator[Any]:
        """What the job makes of each, as it comes."""
        path = self._on_file(about)
        try:
            waiting: set[Future[Any]] = {self.pool.submit(_do, job, path, one) for one in given}
            while waiting:
                done, waiting = wait(waiting, timeout=LOOK, return_when=FIRST_COMPLETED)
                for future in done:
                    yield future.result()
                self.patience.check()
        except BrokenExecutor:
            raise OutsideError("a solver process ended by itself; try again with --only") from None

    def _on_file(self, about: Any) -> Path:
        """What jobs are about, as a file: a pipe to a process that dies would be written to for ever."""
        for known, path in self._filed:
            if known is about:
                return path
        path = self.folder / f"{len(self._filed)}"
        path.write_bytes(pickle.dumps(about))
        self._filed.append((about, path))
        return path


@contextmanager
def hands(many: int, patience: Patience) -> Iterator[Hands]:
    """So many processes to work, or this one (0); left by an error, they are killed."""
    if not many:
        yield Hands(patience)
        return
    with TemporaryDirectory() as folder, workers(many) as pool:
        yield ManyHands(patience, pool, Path(folder))


_ABOUT: dict[Path, Any] = {}  # of this process: what it works on


def _do(job: Callable[[Any, Any], Any], path: Path, given: Any) -> Any:
    if path not in _ABOUT:
        _ABOUT.clear()
        _ABOUT[path] = pickle.loads(path.read_bytes())
    return job(_ABOUT[path], given)
