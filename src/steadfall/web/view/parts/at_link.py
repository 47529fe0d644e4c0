"""A controller at a link: looked at, listened to, driven; how it stands, its curves and strips as they come.

Rule of this file: nothing is driven before it was looked at, and the sentence was typed in this tab.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from nicegui import ui

from steadfall.app.given.consent import CONFIRM
from steadfall.app.page.following import Following
from steadfall.app.page.sessions import key_place, link_place, new_folder, session_folder
from steadfall.source import AskError
from steadfall.web.benched import Bench, Comes, held, looked
from steadfall.web.frame import Going, box, button, choice, entry, table, told, words
from steadfall.web.session import Session
from steadfall.words import _

EVERY_S = 1.0  # between two pictures
LASTING = {"60": _("1 min"), "600": _("10 min"), "2400": _("40 min"), "14400": _("4 h")}
LOOK_FIRST = _("look at this controller first")
TYPE_IT = _("type the sentence first: {sentence}")
KNOW_IT = _("confirm first that the number is the one in the controller")
LINK = "opc.tcp://192.168.0.20:4840/"
FILES = ("certificate", "key", "server_certificate")
COMES = {
    "user": _("User"), "password": _("Password"), "certificate": _("Own certificate"), "key": _("Its key"),
    "server_certificate": _("The controller's certificate"),
}  # fmt: skip
WIDE = 26  # letters: an address and the sentence are seen whole


class AtLink:
    """What stands between the choice of a case and its paper."""

    def __init__(self, session: Session, case: Callable[[], str]) -> None:
        self.session, self.case = session, case
        self.link = self.typed = self.seen = ""
        self.lasting, self.known = "600", False
        self.typed_in: dict[str, str] = {}  # how one comes in, as long as this tab is open
        self.following: Following | None = None
        with box("section", "at-link", aria_label=_("A controller at a link")), box("div", "bar"):
            address = _("Address, or link file beside the plan")
            entry(address, "", partial(setattr, self, "link"), like=LINK, size=WIDE)
            button(_("Look at it"), self.look)
            choice(_("How long, without a case"), list(LASTING.items()), "600", self._last)
            button(_("Listen"), self.listen)
            label = _("To drive it, type: {sentence}").format(sentence=CONFIRM)
            entry(label, "", partial(setattr, self, "typed"), size=WIDE)
            button(_("Drive it"), self.drive, "strong")
            self._coming_in()
        self.going = Going(session.looking, self.show)
        self.state = box("section", "link-state", aria_live="polite")
        self.live = box("section", "live-bench", aria_label=_("As it goes"))
        ui.timer(EVERY_S, self._follow)
        self.show()

    async def look(self) -> None:
        """See who is there, and how all stands; nothing is written."""
        with told():
            place, desk, comes = self._place(), self.session.at_desk(), self._comes()
            self.known, self.seen = False, place
            self.session.looking.shown = None
            await self.session.looking.run(looked, desk.text, str(desk.path), (place, comes))

    async def listen(self) -> None:
        """Hold a session without writing."""
        with told():
            await self._hold(drive=False)

    async def drive(self) -> None:
        """Hold a session as people and plant."""
        with told():
            if self.typed.strip() != CONFIRM:
                raise AskError(TYPE_IT.format(sentence=CONFIRM))
            if self.session.looking.shown is None or self.seen != self._place():
                raise AskError(LOOK_FIRST)
            if self._numbers() and not self.known:
                raise AskError(KNOW_IT)
            await self._hold(drive=True)

    async def open(self, work: Callable[..., Any], name: str) -> None:
        """Have work done with the evidence of a session."""
        desk = self.session.at_desk()
        folder = session_folder(desk.path.parent, name)
        await self.session.bench.run(work, desk.text, str(desk.path), folder)

    def show(self) -> None:
        """Who was there when it was looked at, and how all stood."""
        self.state.clear()
        shown = self.session.looking.shown
        if shown is None:
            return
        with self.state:
            words("p", f"{_('There is:')} {shown.verdict}", "verdict")
            for number in self._numbers():
                with box("label", "field"):
                    made = box("input", type="checkbox")
                    made.on("change", self._confirm, js_handler="(e) => emit(e.target.checked)")
                    words("span", f"{_('I have seen in the controller:')} {number}")
            with box("details"):
                words("summary", _("All values as they were read"))
                table([(_("signal"), _("value")), *shown.table])

    def _coming_in(self) -> None:
        """For a controller that asks who comes. Nothing of it is kept when the tab is closed."""
        with box("details", "coming-in"):
            words("summary", _("Who comes in (OPC UA)"))
            with box("div", "bar"):
                for name, label in COMES.items():
                    entry(label, "", partial(self._type_in, name), size=WIDE, secret=name == "password")
            words("p", _("The password is kept in no file, log or evidence. Files lie beside the plan."))

    def _type_in(self, name: str, typed: str) -> None:
        self.typed_in[name] = typed

    def _comes(self) -> Comes:
        folder, given = self.session.at_desk().path.parent, self.typed_in
        files = {name: key_place(folder, given.get(name, "")) for name in FILES}
        return Comes(given.get("user", "").strip(), given.get("password", ""), **files)

    def _numbers(self) -> tuple[str, ...]:
        shown = self.session.looking.shown
        return tuple(shown.text.splitlines()) if shown else ()

    def _confirm(self, event: Any) -> None:
        self.known = event.args is True

    def _last(self, chosen: str) -> None:
        self.lasting = chosen

    def _place(self) -> str:
        return link_place(self.session.at_desk().path.parent, self.link)

    async def _hold(self, *, drive: bool) -> None:
        desk, case = self.session.at_desk(), self.case()
        out = self.begins(case)
        confirmed, known = (self.typed.strip(), self._numbers()) if drive else ("", ())
        comes = self._comes()
        asked = Bench(self._place(), case, float(self.lasting), out, drive, confirmed, known, comes)
        await self.session.bench.run(held, desk.text, str(desk.path), asked)

    def begins(self, case: str) -> Path:
        """Where the evidence of a session that begins now shall lie; it is followed there."""
        desk = self.session.at_desk()
        out = new_folder(desk.path.parent, case or "session", datetime.now())
        plan = desk.check().plan
        self.following = Following(out, plan) if plan else None
        return out

    def _follow(self) -> None:
        """The last curves and strips, while a session of this tab goes on."""
        if self.following is None:
            return
        if not self.session.bench.goes:  # its report stands below
            self.following = None
            self.live.clear()
            return
        if not self.following.more():
            return
        self.live.clear()
        with self.live:
            ui.html(self.following.picture(), sanitize=False)
