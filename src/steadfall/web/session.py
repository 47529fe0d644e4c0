"""What all tabs of the page share: the plan on the desk, the work beside it, and what it gave.

Rule of this file: nothing of the framework; a view asks to be told, and is.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from attrs import define, field, frozen

from steadfall.app.altered import Change
from steadfall.app.page import desk as desks
from steadfall.app.page.desk import Desk
from steadfall.progress import Cancelled
from steadfall.source import AskError, SteadfallError
from steadfall.store import Store, users_store
from steadfall.web.live import Live
from steadfall.web.shown import Shown
from steadfall.web.tasks import Run
from steadfall.web.work import AT_ONCE, LATER, Worker, Works
from steadfall.words import _

RECENT, SHOWN = "recent", 8
RUNS = 6  # to compare with
LEAVES_S = 0.3  # some cycles of the bench; Ctrl-C ends everything half a second after it was heard
Listener = Callable[[object], None]


@define
class Job:
    """A sort of long work: whether it goes on, how far it is, and what it gave last."""

    worker: Works
    listeners: list[Callable[[], None]] = field(factory=list)
    goes: bool = False
    done: float = 0.0
    of: float | None = None
    words: str = ""
    failed: str = ""
    shown: Shown | None = None
    number: int = 0  # of what is shown: a browser asks anew for what is new

    async def run(self, work: Callable[..., Any], *given: Any) -> None:
        """Do it, unless it goes on already; whoever listens is told of every change."""
        if self.goes:
            return
        self.goes, self.failed, self.done, self.of, self.words = True, "", 0.0, None, ""
        self._tell()
        try:
            self.shown = await self.worker.do(work, *given, told=self._far)
            self.number += 1
        except Cancelled:
            self.failed = ""
        except (SteadfallError, RuntimeError) as error:
            self.failed = str(error)
        finally:
            self.goes = False
            self._tell()

    async def stop(self) -> None:
        """Stop it."""
        await self.worker.stop()

    def _far(self, done: float, of: float | None, words: str) -> None:
        self.done, self.of, self.words = done, of, words
        self._tell()

    def _tell(self) -> None:
        for listener in tuple(self.listeners):
            listener()


@frozen
class Recent:
    """The plans that were opened on this machine, the last one first."""

    store: Store | None = field(factory=lambda: users_store("page"))

    def plans(self) -> tuple[Path, ...]:
        """Those that are still there."""
        kept = self.store.get(RECENT) if self.store else None
        names = [name for name in kept if isinstance(name, str)] if isinstance(kept, list) else []
        return tuple(path for path in map(Path, names) if path.is_file())[:SHOWN]

    def add(self, path: Path) -> None:
        """Another one was opened."""
        if self.store:
            own = str(path.absolute())
            others = [str(other) for other in self.plans() if str(other) != own]
            self.store.put([own, *others][:SHOWN], RECENT)


@frozen
class Proposal:
    """A text that is tried in the place of the plan's, in words, and the text that it was made of."""

    words: str
    text: str
    of: str


@frozen
class Kept:
    """A run that was made, by which others can be measured, in words."""

    words: str
    run: Run


def _bench() -> Job:
    """What was recorded is judged after a stop; before it is ended nobody calls any more."""
    return Job(Worker(grace_s=60.0, leaves_s=LEAVES_S))


@define
class Session:
    """The desk and the work of one server."""

    folder: Path
    desk: Desk | None = None
    recent: Recent = field(factory=Recent)
    cooldown: Job = field(factory=lambda: Job(Worker(behind=LATER)))  # somebody turns a number meanwhile
    doses: Job = field(factory=lambda: Job(Worker(grace_s=30.0)))  # a search ends with what it knows
    adopted: Job = field(init=False)
    sizes: Job = field(factory=lambda: Job(Worker()))
    upsets: Job = field(factory=lambda: Job(Worker()))
    failure: Job = field(init=False)
    bench: Job = field(factory=_bench)
    looking: Job = field(init=False)
    proof: Job = field(factory=lambda: Job(Worker()))
    code: Job = field(factory=lambda: Job(Worker()))
    compared: Job = field(factory=lambda: Job(Worker()))
    live: Live = field(factory=lambda: Live(Worker(behind=AT_ONCE)))
    revised: Job = field(factory=lambda: Job(Worker()))
    proposal: Proposal | None = None
    altered: tuple[Change, ...] | None = None  # what another plan, which is compared, says otherwise
    units: str = "metric"  # in which results are shown
    searched: str = ""  # the text in which doses were searched
    kept: list[Kept] = field(factory=list)  # runs to compare with, the last one first
    _listeners: list[Listener] = field(factory=list)
    _written: tuple[str | None, str | None] = (None, None)  # the text before a button wrote, and after
    _seen: str | None = None  # what the file said when it was last looked at

    @adopted.default
    def _adopted(self) -> Job:
        return Job(self.doses.worker)  # which knows what it has found

    @looking.default
    def _looking(self) -> Job:
        return Job(self.bench.worker)  # one at a time is at a link

    @failure.default
    def _failure(self) -> Job:
        return Job(self.upsets.worker)  # which knows the table

    @property
    def jobs(self) -> tuple[Job, ...]:
        """Every sort of work, each with a process of its own once it is asked for."""
        long = self.cooldown, self.doses, self.adopted, self.sizes, self.upsets, self.failure
        return *long, self.proof, self.bench, self.looking, self.code, self.compared, self.revised

    def open(self, path: Path) -> None:
        """Lay another plan on the desk."""
        self.desk = desks.opened(path)
        self.folder = path.parent
        self._laid()

    def begin(self, name: str, text: str) -> None:
        """Write a new plan into the folder, and lay it on the desk."""
        self.desk = desks.begin(self.folder, name, text)
        self._laid()

    def _laid(self) -> None:
        assert self.desk is not None  # noqa: S101  (it was laid just now)
        self.recent.add(self.desk.path)
        self._seen = self.desk.on_disk()
        self.proposal, self.searched, self.kept, self.altered = None, "", [], None
        self._written = None, None
        for job in self.jobs:
            job.shown, job.failed = None, ""
        self.live.forget()
        self.tell(None)

    def at_desk(self) -> Desk:
        """The desk; raises AskError where no plan is open."""
        if self.desk is None:
            raise AskError(_("no plan is open"))
        return self.desk

    def write(self, text: str, by: object) -> None:
        """Something was typed in a tab, or written at once by a button (`by` None): it is kept, and the other
        tabs are told.
        """
        before = self.at_desk().text
        if text != before:
            self.desk = self.at_desk().write(text)
            if by is None:
                self._written = before, text
            self.tell(by)

    def before(self) -> str | None:
        """The text before a button wrote into it, as long as nothing was changed since."""
        before, after = self._written
        return before if after == self.at_desk().text else None

    def proposed(self) -> Proposal | None:
        """What is tried, as long as the plan is what it was made of."""
        tried = self.proposal
        return tried if tried is not None and tried.of == self.at_desk().text else None

    def keep(self, words: str, run: Run) -> None:
        """Keep a run to compare others with."""
        others = [one for one in self.kept if one.run != run]
        self.kept = [Kept(words, run), *others][:RUNS]

    def save(self, *, over: bool = False) -> None:
        """Write the file."""
        self.desk = self.at_desk().save(over=over)
        self.tell(None)

    def take(self) -> None:
        """Take what the file says."""
        self.desk = self.at_desk().taken()
        self.tell(None)

    def look(self) -> None:
        """Look at the file: a change by others is taken where nothing was typed, else the tabs are told."""
        desk = self.desk
        if desk is None:
            return
        found = desk.on_disk()
        if found == self._seen:
            return
        self._seen = found
        if found is not None and not desk.typed:
            self.desk = desk.taken()
        self.tell(None)

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Be told of every change with who made it; gives what ends it."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener) if listener in self._listeners else None

    def tell(self, by: object) -> None:
        """Tell all who listen."""
        for listener in tuple(self._listeners):
            listener(by)

    def ends(self) -> None:
        """It is about to end: who stands at a controller stops now."""
        self.bench.worker.ask()

    def end(self) -> None:
        """End the work; the draft lies on the disk."""
        for job in self.jobs:
            job.worker.end()
        self.live.end()


@contextmanager
def watching(session: Session, every_s: float) -> Iterator[asyncio.Task[None]]:
    """Look at the file again and again, from inside the server's loop."""

    async def watch() -> None:
        while True:
            await asyncio.sleep(every_s)
            session.look()

    task = asyncio.get_running_loop().create_task(watch())
    try:
        yield task
    finally:
        task.cancel()
