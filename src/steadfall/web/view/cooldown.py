"""The cool-down: a scenario, charts of what it does, and the numbers to turn, with the run before behind."""

from __future__ import annotations

from functools import partial

from nicegui import events, ui
from nicegui.elements.mixins.text_element import TextElement

from steadfall.app.knobs import Knob, knobs, turned
from steadfall.web.frame import Going, box, button, choice, told, words
from steadfall.web.session import Session
from steadfall.web.tasks import Run, drawn
from steadfall.web.words import _

HEADS = {
    "Doses": _("Doses"),
    "Climbs": _("Climbs"),
    "Finish": _("Finish"),
    "Settings": _("Settings"),
    "Supplies": _("Supplies"),
    "Start": _("Start temperatures"),
}


class CooldownView:
    """One tab with a predicted cool-down."""

    def __init__(self, session: Session) -> None:
        self.session, self.job = session, session.cooldown
        self.scenario, self.waits = "", False
        self.numbers: dict[Knob, str] = {}
        ui.add_body_html('<script src="/look/figure.js" defer></script>')
        self._lay_out()
        client = ui.context.client
        client.on_connect(self.show)
        client.on_delete(session.listen(self._heard))

    def _lay_out(self) -> None:
        names = self.session.at_desk().scenarios()
        strongest = ("", _("the strongest call, until every goal is reached"))
        with box("div", "bar"):
            choice(_("Scenario"), [strongest, *((name, name) for name in names)], "", self._choose)
            button(_("Predict"), partial(self.predict, quick=False), "strong")
            button(_("Predict coarsely, in seconds"), partial(self.predict, quick=True))
            self.report = words("a", _("The whole report"), href="/paper/cooldown", target="_blank")
        with box("div", "beside-charts"):
            with box("section"):
                self.going = Going(self.job, self._done)
                self.verdict = words("p", "", "verdict", role="status")
                self.charts = box("div", "charts")
            self.turners = box("aside", "turners", aria_label=_("Numbers to turn"))
        self._lay_out_turners()

    def _lay_out_turners(self) -> None:
        self.turners.clear()
        self.numbers = {}
        found = knobs(self.session.at_desk().text)
        with self.turners:
            words("h2", _("Turn a number"))
            words("p", _("The curve of the plan as it is written stays behind, in a pale line."), "aside")
            with box("div", "bar"):
                self.adopt = button(_("Write into the plan"), self._write)
                self.back = button(_("Back"), self._back)
            for group in dict.fromkeys(knob.group for knob in found):
                with box("details", open="") if group == found[0].group else box("details"):
                    words("summary", HEADS[group])
                    for knob in found:
                        if knob.group == group:
                            self._turner(knob)
        self._show_buttons()

    def _turner(self, knob: Knob) -> None:
        with box("label", "turner"):
            words("span", f"{knob.words}, {_('line')} {knob.line}")
            shown = words("output", f"{knob.number} {knob.unit}")
            ends = {"min": f"{knob.least:g}", "max": f"{knob.most:g}", "step": f"{knob.step:g}"}
            turner = box("input", type="range", value=knob.number, **ends)
        turner.on(
            "input", partial(self._turn, knob, shown), throttle=0.1, js_handler="(e) => emit(e.target.value)"
        )

    async def _turn(self, knob: Knob, shown: TextElement, event: events.GenericEventArguments) -> None:
        digits = len(f"{knob.step:g}".partition(".")[2])
        number = f"{float(event.args):.{digits}f}"
        self.numbers[knob] = number
        if number == knob.number:
            del self.numbers[knob]
        shown.set_text(f"{number} {knob.unit}")
        self._show_buttons()
        await self.predict(quick=True)

    def text(self) -> str:
        """The plan with the numbers as they are turned."""
        return turned(self.session.at_desk().text, self.numbers)

    async def predict(self, *, quick: bool) -> None:
        """Predict what is turned; while something goes on, afterwards."""
        if self.job.goes:
            self.waits = quick
            return
        desk = self.session.at_desk()
        run = Run(self.text(), str(desk.path), self.scenario or None, quick)
        await self.job.run(drawn, run, desk.text)

    def _done(self) -> None:
        self.show()
        if self.waits:
            self.waits = False
            ui.timer(0, partial(self.predict, quick=True), once=True)

    def show(self) -> None:
        """What was predicted last."""
        shown = self.job.shown
        self.report.set_visibility(bool(shown and shown.paper))
        if shown is None:
            ready = _("Nothing is predicted yet. The first time takes longer: it gets ready.")
            self.verdict.set_text("" if self.job.goes else ready)
            return
        self.verdict.set_text(shown.verdict)
        self.verdict.classes(add="" if shown.good else "wrong", remove="wrong" if shown.good else "")
        ui.run_javascript(
            f"import('/look/charts.js').then((m) => m.show({self.charts.id}, {self.job.number}))"
        )

    def _show_buttons(self) -> None:
        for one in (self.adopt, self.back):
            one.set_visibility(bool(self.numbers))

    def _write(self) -> None:
        with told():
            self.session.write(self.text(), None)
            ui.notify(_("Written into the text of the plan; save it there."))

    def _back(self) -> None:
        self._lay_out_turners()

    def _heard(self, _by: object) -> None:
        with self.turners:
            self._lay_out_turners()

    def _choose(self, scenario: str) -> None:
        self.scenario = scenario
