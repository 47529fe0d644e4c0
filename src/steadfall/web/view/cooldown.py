"""The cool-down: a scenario, charts of what it does, and numbers to turn; another run behind or beside."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from nicegui import events, ui
from nicegui.elements.mixins.text_element import TextElement

from steadfall.app.page.knobs import Knob, knobs, turned
from steadfall.web.frame import FIRST, Going, box, button, choice, table, told, words
from steadfall.web.session import Session
from steadfall.web.tasks import Look, Run, drawn
from steadfall.web.view.parts.drawn import charts_here, draw_charts, unit_choice
from steadfall.web.view.parts.numbers import HEADS
from steadfall.words import _

REST_S = 1.5  # a slider has come to rest, and the fine run begins
BANDS = 200  # runs
WRITTEN, NONE = "written", "none"
OVER, ASIDE = "over", "aside"


class CooldownView:
    """One tab with a predicted cool-down."""

    def __init__(self, session: Session) -> None:
        self.session, self.job = session, session.cooldown
        self.scenario, self.beside, self.how = "", WRITTEN, OVER
        self.waits, self.turns, self.rests = False, 0, False
        self.run: Run | None = None  # what this tab shows
        self.numbers: dict[Knob, str] = {}
        charts_here()
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
            button(_("With bands and odds"), partial(self.predict, quick=False, band=BANDS))
            self.report = words("a", _("The whole report"), href="/paper/cooldown", target="_blank")
        self.compared = box("div", "bar")
        self._lay_out_compared()
        with box("div", "beside-charts"):
            with box("section"):
                self.going = Going(self.job, self._done)
                self.verdict = words("p", "", "verdict", role="status")
                self.charts = box("div", "charts")
                self.through = box("section", "through")
            self.turners = box("aside", "turners", aria_label=_("Numbers to turn"))
        self._lay_out_turners()

    def _lay_out_compared(self) -> None:
        self.compared.clear()
        kept = [(str(k), one.words) for k, one in enumerate(self.session.kept)]
        usual = [(WRITTEN, _("the plan as it is written")), (NONE, _("nothing"))]
        ways = [(OVER, _("behind it, as a pale line")), (ASIDE, _("side by side"))]
        with self.compared:
            choice(_("Compare with"), [*usual, *kept], self.beside, self._beside)
            choice(_("How"), ways, self.how, self._how)
            unit_choice(self.session, self.redraw)

    def _lay_out_turners(self) -> None:
        self.turners.clear()
        self.numbers = {}
        found, tried = knobs(self.base()), self.session.proposed()
        with self.turners:
            words("h2", _("Turn a number"))
            if tried is not None:
                words("p", f"{_('From the trade-off, not written yet')}: {tried.words}", "tried")
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
            turner = box("input", type="range", **ends)
            turner.props[FIRST] = knob.number
        turner.on(
            "input", partial(self._turn, knob, shown), throttle=0.1, js_handler="(e) => emit(e.target.value)"
        )

    async def _turn(self, knob: Knob, shown: TextElement, event: events.GenericEventArguments) -> None:
        digits = len(f"{knob.step:g}".partition(".")[2])
        number = f"{float(event.args):.{digits}f}"
        self.numbers[knob] = number
        if float(number) == float(knob.number):  # as it is written
            number = knob.number
            del self.numbers[knob]
        shown.set_text(f"{number} {knob.unit}")
        self._show_buttons()
        self.turns += 1
        if self.rests:  # the fine run of a number that is turned on
            self.rests, self.waits = False, True
            await self.job.stop()
        await self.predict(quick=True, moving=bool(self.numbers))

    def base(self) -> str:
        """The text whose numbers are turned: what is tried in the plan's place, or the plan."""
        tried = self.session.proposed()
        return self.session.at_desk().text if tried is None else tried.text

    def text(self) -> str:
        """That text with the numbers as they are turned."""
        return turned(self.base(), self.numbers)

    async def predict(self, *, quick: bool, band: int = 0, moving: bool = False) -> None:
        """Predict what is turned, `moving` while it is; while something goes on, afterwards."""
        if self.job.goes:
            self.waits = quick
            return
        name = str(self.session.at_desk().path)
        self.run = Run(self.text(), name, self.scenario or None, quick, band, moving)
        await self.redraw()
        if self.job.shown is not None and not self.job.failed and not moving:
            self.session.keep(self._words(self.run), self.run)
            with self.compared:
                self._lay_out_compared()

    async def redraw(self) -> None:
        """Draw the run of this tab, with the other that is wanted."""
        if self.run is not None:
            look = Look(self._other(self.run), self.how == ASIDE, self.session.units)
            await self.job.run(drawn, self.run, look)

    def _other(self, run: Run) -> Run | None:
        """The run to compare with, where it is another."""
        kept = self.session.kept
        if self.beside.isdigit():
            other = kept[int(self.beside)].run if int(self.beside) < len(kept) else None
        else:
            text = self.session.at_desk().text
            written = Run(text, run.name, run.scenario, run.quick, moving=run.moving)
            other = written if self.beside == WRITTEN and written.text != run.text else None
        return None if other == run else other

    def _words(self, run: Run) -> str:
        """How a run is called in the list."""
        fine = _("coarse") if run.quick else _("with bands") if run.band else _("fine")
        tried = self.session.proposed()
        numbers = [f"{knob.words} {number} {knob.unit}" for knob, number in self.numbers.items()]
        more = [f"+ {len(numbers) - 2}"] if len(numbers) > 2 else []
        what = [*([tried.words] if tried else []), *numbers[:2], *more] or [_("as written")]
        return ", ".join([run.scenario or _("the strongest call"), fine, *what])

    def _done(self) -> None:
        self.show()
        if self.waits:
            self.waits = False
            again = partial(self.predict, quick=True, moving=bool(self.numbers))
            ui.timer(0, again, once=True)
        elif self.run is not None and self.run.moving:
            ui.timer(REST_S, partial(self._rest, self.turns), once=True)

    async def _rest(self, turns: int) -> None:
        """The fine run of what is turned, where nothing has been turned since."""
        if turns == self.turns and self.numbers and not self.job.goes:
            self.rests = True
            await self.predict(quick=False)
            self.rests = False

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
        self._show_through(shown.table)
        titles = [_("this run"), _("the other")]
        draw_charts(self.charts, "cooldown", self.job.number, titles)

    def _show_through(self, rows: Sequence[Sequence[str]]) -> None:
        self.through.clear()
        if not rows:
            return
        with self.through:
            words("h2", _("What the plant goes through"))
            table(rows)

    def _show_buttons(self) -> None:
        for one in (self.adopt, self.back):
            one.set_visibility(bool(self.numbers) or self.session.proposed() is not None)

    def _write(self) -> None:
        with self.going.box, told():  # the button that was pressed is laid out anew meanwhile
            self.session.write(self.text(), None)
            ui.notify(_("Written into the text of the plan; save it there."))

    def _back(self) -> None:
        self.session.proposal = None
        self._lay_out_turners()

    def _heard(self, _by: object) -> None:
        with self.turners:
            self._lay_out_turners()

    def _choose(self, scenario: str) -> None:
        self.scenario = scenario

    async def _beside(self, beside: str) -> None:
        self.beside = beside
        await self.redraw()

    async def _how(self, how: str) -> None:
        self.how = how
        await self.redraw()
