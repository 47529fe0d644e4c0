"""The proof: every requirement with its verdict, also under a fault; and what another plan does otherwise."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from contextlib import suppress
from functools import partial

from steadfall.app.altered import Change, altered
from steadfall.app.page.desk import plans, read_inside
from steadfall.source import PlanError
from steadfall.web.frame import Going, box, brings, button, choice, table, told, words
from steadfall.web.session import Session
from steadfall.web.tasks import proved, revised
from steadfall.web.view.parts.paper import PaperView, framed_paper
from steadfall.web.view.parts.replays import replays
from steadfall.words import _

MOST = 40  # differences that are shown while the proof goes


class ProofView(PaperView):
    """One tab with the proof."""

    def __init__(self, session: Session) -> None:
        self.fault = ""
        super().__init__(session, session.proof, "proof")
        with box("section", "revised"):
            self._compare()

    def asks(self) -> None:
        """Begin, without a fault beyond those of the plan, or under one."""
        usual = ("", _("none, then each of the plan's, alone"))
        faults = [(name, name) for name in self.session.at_desk().faults()]
        choice(_("Fault"), [usual, *faults], "", partial(setattr, self, "fault"))
        button(_("Prove every requirement"), self.prove, "strong")

    async def prove(self) -> None:
        """Prove the text as it stands."""
        await self.run(proved, (self.fault,) if self.fault else ())

    def show(self) -> None:
        """The paper there is, and above it the ways into what is broken."""
        super().show()
        with self.place:
            replays(self.session)

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is proved yet. What was proved of this plan before is found again, and checked.")

    def _compare(self) -> None:
        words("h2", _("Compare with another plan"))
        words("p", _("Are its valves moved alike for ever; if not, how soon they part, what comes of it."))
        own = self.session.at_desk().path.name
        others = [(name, name) for name in plans(self.session.folder) if name != own]
        with box("div", "bar"):
            if others:
                choice(_("A plan of this folder"), [("", ""), *others], "", self._chosen)
            brings(_("A plan file"), ".yaml,.yml", self.compare)
        self.comparing = Going(self.session.revised, self._show, self._show)
        self.said = box("div")
        self.other = box("div")
        self._show()

    async def _chosen(self, name: str) -> None:
        with told():
            if name:
                await self.compare(name, read_inside(self.session.folder, name))

    def _differences(self, rows: Sequence[Change]) -> None:
        words("h3", _("What is written otherwise"))
        if rows:
            table([("", _("here"), _("there")), *((row.where, row.first, row.second) for row in rows[:MOST])])
        else:
            words("p", _("Nothing."))
        if len(rows) > MOST:
            words("p", _("and {count} more").format(count=len(rows) - MOST), "aside")

    async def compare(self, name: str, text: str) -> None:
        """Compare a plan with the text as it stands."""
        desk = self.session.at_desk()
        if self.session.revised.goes:
            return
        self.session.altered = self.session.revised.shown = None
        with suppress(PlanError):  # said by the comparison itself
            both = (desk.text, str(desk.path)), (text, name)
            self.session.altered = await asyncio.to_thread(altered, *both)
        with self.said:
            self._show()
        await self.session.revised.run(revised, desk.text, str(desk.path), text, name)

    def _show(self) -> None:
        """What is written otherwise, at once; then, in its place, the paper that has that too."""
        self.other.clear()
        self.said.clear()
        rows, goes = self.session.altered, self.session.revised.goes
        if rows is not None and (goes or self.session.revised.shown is None):
            with self.said:
                self._differences(rows)
        if not goes and self.session.revised.shown is not None:
            with self.other:
                framed_paper("revised", self.session.revised.number)
