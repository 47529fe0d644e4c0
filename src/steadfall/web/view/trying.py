"""Try: switches and buttons to press, sensors to drag, strips that run to the right, and why they are so."""

from __future__ import annotations

import json
from collections.abc import Awaitable
from functools import partial
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from steadfall.app.page.desk import digest
from steadfall.web.frame import box, button, choice, told, words
from steadfall.web.live import SPEEDS
from steadfall.web.session import Session
from steadfall.web.trial import Begin, Reason
from steadfall.web.view.parts.drawn import unit_choice
from steadfall.web.view.parts.hands import hands
from steadfall.words import _

SPANS = {
    "": _("what fits"),
    "20": _("20 s"),
    "60": _("1 min"),
    "300": _("5 min"),
    "1800": _("30 min"),
    "0": _("all of it"),
}
BACK_MS = {_("1 s"): 1000, _("10 s"): 10_000, _("1 min"): 60_000}
DEEPEST, LINES = 4, 40  # of an answer


class TryView:
    """One tab with the trial."""

    def __init__(self, session: Session) -> None:
        self.session, self.live = session, session.live
        self.name, self.scenario = "", ""  # to keep it under; to begin it from
        self.drawn: dict[str, Any] | None = None  # of what the controls are
        ui.add_body_html('<script type="module" src="/look/try.js"></script>')
        self._lay_out()
        client = ui.context.client
        client.on_connect(self._draw)
        client.on_delete(session.listen(lambda _by: self.show()))
        self.live.listeners.append(self.show)
        client.on_delete(lambda: self.live.listeners.remove(self.show))
        self.show()

    def _lay_out(self) -> None:
        self.title = words("h2", "", "wrong")
        with box("div", "bar"):
            self.going = box("div", "going-on", role="group", aria_label=_("How it goes on"))
            with self.going:
                self._lay_out_going()
            scenarios = [
                ("", _("with nobody calling")),
                *((name, name) for name in self.session.at_desk().scenarios()),
            ]
            choice(_("from"), scenarios, "", partial(setattr, self, "scenario"))
            unit_choice(self.session)
            self.anew = button(_("Begin a trial"), self._begin)
            self.state = words("span", "", "state", role="status")
        self.failed = words("pre", "", "failed", role="alert")
        with box("div", "beside-charts"):
            with box("section", "live"):
                words("p", "", "state", role="status", data_told="")
                self.figure = box("div", "trial", role="group", aria_label=_("Strips and curves"))
                self.figure.on("why", self._why, js_handler="(e) => emit(e.detail)")
                self.figure.on("back", self._to, js_handler="(e) => emit(e.detail)")
            with box("aside", "turners"):
                self.hands = box("section", "hands", aria_label=_("Switches, buttons and sensors"))
                self.because = box("section", "because", aria_live="polite")
                self._lay_out_keeping()

    def _lay_out_going(self) -> None:
        self.run = button(_("Go"), self._turn, "strong")
        button(_("One scan"), partial(self._wait, self.live.step))
        speeds = [(str(one), str(one)) for one in SPEEDS]
        choice(_("times as fast"), speeds, str(self.live.speed), self._at_speed)
        words("span", _("back by"), "aside")
        for text, ms in BACK_MS.items():
            button(text, partial(self._back, ms))
        button(_("to the line"), partial(self._ask_figure, "back"))
        self.to_end = button(_("to where it breaks"), self._to_end)
        choice(_("shown"), list(SPANS.items()), "", self._span)

    def _lay_out_keeping(self) -> None:
        self.keeping = box("section", "keeping")
        with self.keeping:
            words("h2", _("Keep what was pressed"))
            words("p", _("As a scenario in the plan: it can be predicted, and held on the bench."), "aside")
            with box("label", "field"):
                words("span", _("Name of the scenario"))
                field = box("input", type="text", maxlength="60")
            field.on("input", self._named, js_handler="(e) => emit(e.target.value)")
            button(_("Write it into the plan"), self._keep)
            self.kept = words("p", "", "state", role="status")

    def show(self) -> None:
        """As it is now; what can be pressed, and the figure, only where all is new."""
        live = self.live
        there = bool(live.sheet)
        replay = there and live.sheet["end_ms"] is not None
        hint = _(
            "Nothing is tried yet. Press, drag and see what the controller does, before anything is hot."
        )
        earlier = there and live.digest != digest(self.session.at_desk().text)
        changed = _("The plan was changed since: this is of an earlier text.") if earlier else ""
        self.state.set_text(live.words or (changed if there else "" if live.failed else hint))
        self.failed.set_text(live.failed)
        self.failed.set_visibility(bool(live.failed))
        self.anew.classes(add="" if there else "strong", remove="strong" if there else "")
        self.anew.set_text(_("Begin anew") if there and not replay else _("Begin a trial"))
        self.title.set_text(live.sheet["title"] if there else "")
        self.title.set_visibility(there and replay)
        self.run.set_text(_("Pause") if live.goes else _("Go"))
        self.to_end.set_visibility(replay)
        for part in (self.going, self.figure, self.because):
            part.set_visibility(there)
        for part in (self.hands, self.keeping):
            part.set_visibility(there and not replay)
        if self.drawn is not live.sheet:
            self._lay_out_anew()

    def _lay_out_anew(self) -> None:
        self.drawn = self.live.sheet
        self.because.clear()
        self.hands.clear()
        if not self.live.sheet:
            return
        with self.because:
            words("p", _("Choose a strip at a moment: here stands why it is so."), "aside")
        with self.hands:
            hands(self.live, self._do)
        self._draw()

    def _draw(self) -> None:
        if self.live.sheet and self.figure.client.has_socket_connection:
            said = {
                "moment": _("the moment"),
                "breaks": _("broken at"),
                "slow": _("times as fast is all it can"),
            }
            run = f"import('/look/try.js').then((m) => m.show({self.figure.id}, {json.dumps(said)}))"
            self.figure.client.run_javascript(run)

    async def _begin(self) -> None:
        desk = self.session.at_desk()
        await self.live.begin(
            desk.text, str(desk.path), digest(desk.text), Begin(self.scenario, self.session.units)
        )

    def _turn(self) -> None:
        with told():
            if self.live.goes:
                self.live.pause()
            else:
                self.live.start()

    async def _wait(self, act: Any, *given: Any) -> None:
        """Do it, and say what a person can mend."""
        with told():
            doing: Awaitable[None] = act(*given)
            await doing

    async def _do(self, name: str, what: str) -> None:
        await self._wait(self.live.order, ("do", name, what))

    async def _back(self, ms: int) -> None:
        await self._wait(self.live.back, max(0, self.live.now["now_ms"] - ms))

    async def _to(self, event: GenericEventArguments) -> None:
        await self._wait(self.live.back, int(event.args["at_ms"]))

    async def _to_end(self) -> None:
        self.live.pause()
        await self._wait(self.live.order, ("until", self.live.sheet["end_ms"]))

    def _at_speed(self, value: str) -> None:
        self.live.speed = int(value) if int(value) in SPEEDS else 1

    def _span(self, value: str) -> None:
        seconds = int(value) if value in SPANS and value else "null"
        ui.run_javascript(f"import('/look/try.js').then((m) => m.span({seconds}))")

    def _ask_figure(self, what: str) -> None:
        ui.run_javascript(f"import('/look/try.js').then((m) => m.ask({what!r}))")

    async def _why(self, event: GenericEventArguments) -> None:
        with told():
            found = await self.live.why(str(event.args["name"]), int(event.args["at_ms"]))
            self._say(found)

    def _say(self, found: tuple[Reason, ...]) -> None:
        self.because.clear()
        shown = [row for row in found if row[0] <= DEEPEST][:LINES]
        with self.because:
            words("h2", _("Why"))
            with box("ol", "why"):
                for depth, text, line in shown:
                    with box("li", f"deep-{depth}"):
                        words("span", text)
                        if line:
                            words("a", f"{_('line')} {line}", "aside", href=f"/plan#line-{line}")
        ui.run_javascript(f"import('/look/try.js').then((m) => m.seen({self.because.id}))")

    def _named(self, event: GenericEventArguments) -> None:
        self.name = str(event.args)

    async def _keep(self) -> None:
        with told():
            desk = self.session.at_desk()
            self.session.write(await self.live.kept(desk.text, str(desk.path), self.name), None)
            bench = f"steadfall bench {desk.path.name} --cases '{self.name}'"
            self.kept.set_text(
                f"{_('Written into the text of the plan; save it there. On the bench:')} {bench}"
            )
