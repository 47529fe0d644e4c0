"""Bench: a case of the plan with a controller in this process, its verdicts, strips and what was exercised.

A controller at a link is driven from a terminal, where somebody types that the field side is isolated.
"""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button, choice, words
from steadfall.web.session import Session
from steadfall.web.tasks import rehearsed
from steadfall.web.view.paper import PaperView
from steadfall.words import _


class BenchView(PaperView):
    """One tab with the session of a case."""

    def __init__(self, session: Session) -> None:
        self.case = ""
        super().__init__(session, session.bench, "bench")

    def asks(self) -> None:
        """Which case, begin, and what to think of."""
        usual = ("", _("a minute of the strongest call"))
        cases = [(name, name) for name in self.session.at_desk().cases()]
        choice(_("Case"), [usual, *cases], "", partial(setattr, self, "case"))
        button(_("Rehearse it"), self.rehearse, "strong")
        words("p", _("The controller is in software here; a real one is driven by `steadfall bench`."))

    async def rehearse(self) -> None:
        """Hold the session with the text as it stands."""
        await self.run(rehearsed, self.case)

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is rehearsed yet. A minute of plant takes some seconds.")
