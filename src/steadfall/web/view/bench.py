"""Bench: a case with a controller in this process, or with one at a link; and what was kept of others.

A controller at a link is only listened to before somebody has typed that the field side is isolated.
"""

from __future__ import annotations

from functools import partial

from steadfall.app.page.sessions import sessions
from steadfall.web.benched import kept
from steadfall.web.frame import box, button, choice, told, words
from steadfall.web.session import Session
from steadfall.web.tasks import rehearsed
from steadfall.web.view.parts.at_link import AtLink
from steadfall.web.view.parts.paper import PaperView
from steadfall.words import _

ISOLATE = _("Outputs of a controller may move valves: disconnect or isolate the field side before you go on.")


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
        words("p", _("The controller is in software here."))
        words("p", ISOLATE, "aside first")
        self.link = AtLink(self.session, lambda: self.case)
        self.others = box("section", "others", aria_label=_("Sessions before"))

    def show(self) -> None:
        """The paper there is, and the sessions beside the plan."""
        super().show()
        self.others.clear()
        found = sessions(self.session.at_desk().path.parent)
        if not found:
            return
        with self.others, box("details"):
            words("summary", _("Sessions before"))
            with box("table", "loose"):
                for one in found:
                    with box("tr"):
                        for cell in (one.begun, one.scenario, one.link, one.said):
                            words("td", cell)
                        with box("td"):
                            made = button(_("Open its report"), partial(self.open, one.name), "link")
                            made.props["aria-label"] = f"{_('Open its report')}: {one.name}"

    async def open(self, name: str) -> None:
        """Show the report of a session that is over."""
        with told():
            await self.link.open(kept, name)

    async def rehearse(self) -> None:
        """Hold the session with the text as it stands."""
        await self.run(rehearsed, self.case, self.link.begins(self.case))

    def hint(self) -> str:
        """Before the first time."""
        return _("Nothing is rehearsed yet. A minute of plant takes some seconds.")
