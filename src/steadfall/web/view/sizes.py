"""Sizes: whether any valve, opening, line, main or supply is too small, and what would do."""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button
from steadfall.web.session import Session
from steadfall.web.tabled import sized, sized_in
from steadfall.web.view.parts.drawn import unit_choice
from steadfall.web.view.parts.paper import PaperView
from steadfall.words import _


class SizesView(PaperView):
    """One tab with the sizes."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, session.sizes, "sizes")

    def asks(self) -> None:
        """Begin."""
        button(_("Size every part"), self.begin, "strong")
        unit_choice(self.session, partial(self.again, sized_in))

    async def begin(self) -> None:
        """Size."""
        await self.run(sized, self.session.units)

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is sized yet. It takes the water of a coarse prediction.")
