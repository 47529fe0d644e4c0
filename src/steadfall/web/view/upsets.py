"""Upsets: every single failure, what comes of it and what notices it, the worst first."""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button
from steadfall.web.session import Session
from steadfall.web.tasks import upset
from steadfall.web.view.paper import PaperView
from steadfall.web.words import _


class UpsetsView(PaperView):
    """One tab with the table of single failures."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, session.upsets, "upsets")

    def asks(self) -> None:
        """Begin."""
        button(_("Try every single failure"), partial(self.run, upset), "strong")

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is tried yet. Many runs are made: it takes a minute or some.")
