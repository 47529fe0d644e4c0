"""Sizes: whether any valve, opening, line, main or supply is too small, and what would do."""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button
from steadfall.web.session import Session
from steadfall.web.tasks import sized
from steadfall.web.view.paper import PaperView
from steadfall.words import _


class SizesView(PaperView):
    """One tab with the sizes."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, session.sizes, "sizes")

    def asks(self) -> None:
        """Begin."""
        button(_("Size every part"), partial(self.run, sized), "strong")

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is sized yet. It takes the water of a coarse prediction.")
