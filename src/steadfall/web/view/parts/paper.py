"""What the cool-down and the proof share: ask for long work, see how far it is, and read the paper it made.

The paper stands in a frame without any right of this page: a sandbox with scripts alone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui import ui

from steadfall.app.page.desk import digest
from steadfall.web.frame import Going, box, words
from steadfall.web.session import Job, Session
from steadfall.web.shown import Shown
from steadfall.words import _


class PaperView:
    """A tab that shows the paper of a job."""

    def __init__(self, session: Session, job: Job, way: str) -> None:
        self.session, self.job, self.way = session, job, way
        with box("div", "bar"):
            self.asks()
        self.going = Going(job, self.show, self.say)
        self.old = words("p", "", "state", role="status")
        self.place = box("div")
        self.show()
        ui.context.client.on_delete(session.listen(lambda _by: self.say()))

    def asks(self) -> None:
        """The controls above the paper."""
        raise NotImplementedError

    def hint(self) -> str:
        """What is said where there is no paper yet."""
        raise NotImplementedError

    async def run(self, work: Callable[..., Any], *given: Any) -> None:
        """Begin the work on the text as it stands."""
        desk = self.session.at_desk()
        await self.job.run(work, desk.text, str(desk.path), *given)

    async def again(self, work: Callable[..., Any]) -> None:
        """The same in the units that were chosen, where there is any."""
        if self.job.shown is not None and not self.job.goes:
            await self.job.run(work, self.session.units)

    def show(self) -> None:
        """The paper there is."""
        self.place.clear()
        if self.job.shown is not None:
            with self.place:
                framed_paper(self.way, self.job.number)
        self.say()

    def say(self) -> None:
        """Whether the paper is of the text as it stands."""
        shown = self.job.shown
        if shown is None:
            self.old.set_text("" if self.job.goes else self.hint())
            return
        self.old.set_text(earlier(self.session, shown))


def framed_paper(way: str, number: int) -> None:
    """A paper in a frame without any right but to run its script, and the way to the whole of it: printed, a
    frame is a page at most.
    """
    title, place = _("What was found, as a report"), f"/paper/{way}?{number}"
    words("a", _("The whole report"), "whole", href=place, target="_blank")
    words("p", _("Its first page; the whole report is printed from a tab of its own."), "on-paper")
    box("iframe", "paper", src=place, sandbox="allow-scripts", title=title)


def earlier(session: Session, shown: Shown) -> str:
    """What is said where the text on the desk is not that of what is shown."""
    same = session.desk is not None and shown.digest == digest(session.desk.text)
    return "" if same else _("The plan was changed since: this is of an earlier text.")
