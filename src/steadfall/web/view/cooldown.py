"""The cool-down: a scenario, a coarse or a fine prediction, and its report."""

from __future__ import annotations

from functools import partial

from steadfall.web.frame import button, choice
from steadfall.web.session import Session
from steadfall.web.tasks import predicted
from steadfall.web.view.paper import PaperView
from steadfall.web.words import _

WAY = "cooldown"


class CooldownView(PaperView):
    """One tab with a predicted cool-down."""

    def __init__(self, session: Session) -> None:
        self.scenario = ""
        super().__init__(session, session.cooldown, WAY)

    def asks(self) -> None:
        """Scenario, and how finely."""
        names = self.session.at_desk().scenarios()
        options = [
            ("", _("the strongest call, until every goal is reached")),
            *((name, name) for name in names),
        ]
        choice(_("Scenario"), options, "", self._choose)
        button(_("Predict"), partial(self._predict, quick=False), "strong")
        button(_("Predict coarsely, in seconds"), partial(self._predict, quick=True))

    def hint(self) -> str:
        """Before the first prediction."""
        return _(
            "Nothing is predicted yet. The first prediction of this session takes longer: it gets ready."
        )

    def _choose(self, scenario: str) -> None:
        self.scenario = scenario

    async def _predict(self, *, quick: bool) -> None:
        await self.run(predicted, self.scenario or None, quick)
