"""The proof: every requirement in a sentence, with its verdict, and how a refuted one is broken."""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button
from steadfall.web.session import Session
from steadfall.web.tasks import proved
from steadfall.web.view.paper import PaperView
from steadfall.web.view.replays import replays
from steadfall.web.words import _


class ProofView(PaperView):
    """One tab with the proof."""

    def __init__(self, session: Session) -> None:
        super().__init__(session, session.proof, "proof")

    def asks(self) -> None:
        """Begin."""
        button(_("Prove every requirement"), partial(self.run, proved), "strong")

    def show(self) -> None:
        """The paper there is, and above it the ways into what is broken."""
        super().show()
        with self.place:
            replays(self.session)

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is proved yet. What was proved of this plan before is found again, and checked.")
