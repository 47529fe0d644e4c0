"""Begin: the plans of this folder, those opened lately, commented or drafted ones, a file dropped."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from nicegui import events, ui

from steadfall.app.page.desk import PATTERNS, plans, starter
from steadfall.web.frame import box, brings, button, told, words
from steadfall.web.session import Session
from steadfall.web.view.parts.draft import DraftForm
from steadfall.words import _

PLAN = "/plan"
STARTERS = {
    "press": _("A splice press: two platens, drilled channels, doses, then flood"),
    "oven": _("A batch oven: a coil in the air stream, one zone after the other"),
    "barrel": _("A barrel: zones with jackets that cool in turn"),
    "roll": _("A roll: a whole machine with main valve, pump, buttons, settings and counters"),
}


class BeginView:
    """Where to begin."""

    def __init__(self, session: Session) -> None:
        self.session = session
        words("h2", _("Begin with a plan"), "title")
        with box("div", "starts"):
            with box("section", "sheet"):
                self._here()
            with box("section", "sheet"):
                self._new()
            with box("section", "sheet wide"), box("details", "drafted"):
                words("summary", _("A plan drafted from some answers"))
                words(
                    "p",
                    _("What you leave open is typical, and marked so in the plan. A quantity has a unit."),
                )
                DraftForm(self._start)
            recent = session.recent.plans()
            if recent:
                with box("section", "sheet"):
                    words("h2", _("Opened lately"))
                    with box("ul"):
                        for path in recent:
                            with box("li"):
                                button(path.name, partial(self._open, path), "link")
                                words("div", str(path.parent), "aside")

    def _here(self) -> None:
        words("h2", _("In this folder"))
        words("p", str(self.session.folder.absolute()), "aside")
        names = list(plans(self.session.folder))
        own = "" if self.session.desk is None else self.session.desk.path.name
        names += [own] if own and own not in names else []
        with box("ul"):
            for name in names:
                with box("li"):
                    button(name, partial(self._open, self.session.folder / name), "link")
        if not names:
            words("p", _("There is no plan here yet."))
        brings(_("Bring a plan file"), ".yaml,.yml", self._brought)

    def _new(self) -> None:
        words("h2", _("A commented plan to start from"))
        words(
            "p",
            _("It checks clean and can be predicted. Its numbers are typical, but invented: put in yours."),
        )
        with box("label", "field"):
            words("span", _("Name of the new plan"))
            self.name = ui.element("input").props('type=text value="new-plan.yaml" maxlength=100')
            self.named = "new-plan.yaml"
            self.name.on("input", self._name, js_handler="(e) => emit(e.target.value)")
        with box("ul"):
            for pattern in PATTERNS:
                with box("li"):
                    button(STARTERS.get(pattern, pattern), partial(self._begin, pattern), "link")

    def _name(self, event: events.GenericEventArguments) -> None:
        self.named = str(event.args)

    def _open(self, path: Path) -> None:
        with told():
            self.session.open(path)
            ui.navigate.to(PLAN)

    def _begin(self, pattern: str) -> None:
        with told():
            self._start(starter(pattern))

    def _start(self, text: str) -> None:
        self.session.begin(self.named, text)
        ui.navigate.to(PLAN)

    def _brought(self, name: str, text: str) -> None:
        self.session.begin(name, text)
        ui.navigate.to(PLAN)
