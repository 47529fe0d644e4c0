"""Upsets: every single failure, what comes of it and what notices it, the worst first; each opens its run."""

from __future__ import annotations

from nicegui import ui

from steadfall.web.frame import Going, box, button, words
from steadfall.web.session import Session
from steadfall.web.shown import Shown
from steadfall.web.tabled import failed, upset, upset_in
from steadfall.web.view.parts.drawn import charts_here, draw_charts, unit_choice
from steadfall.web.view.parts.paper import PaperView
from steadfall.web.view.parts.rows import rows_that_open
from steadfall.words import _


class UpsetsView(PaperView):
    """One tab with the table of single failures."""

    def __init__(self, session: Session) -> None:
        charts_here()
        self.number = 0  # of the row that is opened in this tab
        super().__init__(session, session.upsets, "upsets")
        self.opening = Going(session.failure, self._reached)
        self.opened = box("section", "opened", aria_live="polite")
        with self.opened:
            self.said = words("p", "", "verdict")
            self.charts = box("div", "charts")
        self.opened.set_visibility(False)
        self.place.move()  # below what is opened
        ui.context.client.on_connect(self._opened)

    def asks(self) -> None:
        """Begin."""
        button(_("Try every single failure"), self.begin, "strong")
        unit_choice(self.session, self.read)

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is tried yet. Many runs are made: it takes a minute or some.")

    def show(self) -> None:
        """The table there is."""
        self.place.clear()
        shown = self.job.shown
        if shown is not None:
            with self.place:
                self._show(shown)
        self.say()

    def _show(self, shown: Shown) -> None:
        words("p", shown.verdict, "verdict" if shown.good else "verdict wrong", role="status")
        href = f"/paper/upsets?{self.job.number}"
        words("a", _("The whole report"), href=href, target="_blank")
        head, *rows = shown.table
        say = [(_("Open"), f"{_('Open strips and curves')}: {row[2]}") for row in rows]
        with box("div", "through"):
            rows_that_open((*head, _("Its run")), rows, say, self.open_row, classes="loose failures")

    async def begin(self) -> None:
        """Make the table anew; the run of a row of the old one goes."""
        self.session.failure.shown = None
        self._opened()
        await self.run(upset, self.session.units)

    async def read(self) -> None:
        """Table and run in the units that were chosen."""
        await self.again(upset_in)
        if self.number and self.session.failure.shown is not None:
            await self.open(self.number)

    async def open_row(self, row: int) -> None:
        """Show the run of a row, counted from 0; a failure has a number from 1 on."""
        await self.open(row + 1)

    async def open(self, number: int) -> None:
        """Show the run of a row."""
        self.number = number
        await self.session.failure.run(failed, number, self.session.units)

    def _reached(self) -> None:
        self._opened()
        ui.run_javascript(f"document.getElementById('c{self.opened.id}').scrollIntoView()")

    def _opened(self) -> None:
        shown = self.session.failure.shown
        self.opened.set_visibility(shown is not None)
        if shown is not None:
            self.said.set_text(shown.verdict)
            draw_charts(self.charts, "failure", self.session.failure.number)
