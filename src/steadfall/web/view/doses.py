"""Doses: let the tool look for them, choose among the best, see what binds, and take them into the plan."""

from __future__ import annotations

from functools import partial

from nicegui import events, ui

from steadfall.app.page.desk import digest
from steadfall.app.page.knobs import BOUNDS, Knob, knobs, turned
from steadfall.source import AskError, SteadfallError
from steadfall.web.frame import CHOOSES, Going, box, button, choice, entry, refused, told, words
from steadfall.web.searched import Search, adopted, offered, searched, searched_in
from steadfall.web.session import Proposal, Session
from steadfall.web.shown import Offers, Shown
from steadfall.web.tasks import Look, Run, drawn
from steadfall.web.view.parts.drawn import unit_choice
from steadfall.web.view.parts.numbers import NumberFields
from steadfall.web.view.parts.paper import earlier
from steadfall.web.view.parts.rows import rows_that_open
from steadfall.words import _

COOLDOWN = "/cooldown"
FEWEST, USUAL, MOST = 20, 1000, 100_000
WORDS = {
    "time": _("soonest"),
    "water": _("least water"),
    "wear": _("fewest openings of valves"),
    "balance": _("a balance of the three"),
}


class DosesView:
    """One tab with the search."""

    def __init__(self, session: Session) -> None:
        self.session, self.job = session, session.doses
        self.aim, self.odds, self.tries = next(iter(WORDS)), "", str(USUAL)
        self.bounds: dict[Knob, str] = {}
        ui.add_body_html('<script type="module" src="/look/trade.js"></script>')
        self._asks()
        self.going = Going(self.job, self.show, self.say)
        self.adopting = Going(session.adopted, lambda: None)
        self.old = words("p", "", "state", role="status")
        self.place = box("div", "found-doses")
        ui.context.client.on_delete(session.listen(lambda _by: self.say()))
        self.show()

    def _asks(self) -> None:
        with box("div", "bar"):
            aims = list(WORDS.items())
            choice(_("Look for"), aims, self.aim, partial(setattr, self, "aim"))
            entry(_("Odds of keeping the limits"), "", partial(setattr, self, "odds"), like="95 %")
            entry(_("Cool-downs to try"), self.tries, partial(setattr, self, "tries"))
            button(_("Search"), self.search, "strong")
            unit_choice(self.session, self.again)
        with box("details", "bounds"):
            words("summary", _("Search within other limits and goals"))
            words("p", _("They go into the plan together with the doses, if you take these."), "aside")
            NumberFields(self._bound).show(knobs(self.session.at_desk().text, BOUNDS))

    def _bound(self, knob: Knob, number: str) -> None:
        self.bounds[knob] = number

    async def search(self) -> None:
        """Search in the text as it stands, within the bounds as they are put."""
        with told():
            if not self.tries.strip().isdigit() or not FEWEST <= int(self.tries) <= MOST:
                bad = _("'{tries}' is no number of cool-downs from {fewest} to {most:,}")
                raise AskError(bad.format(tries=self.tries, fewest=FEWEST, most=MOST))
            desk = self.session.at_desk()
            wish = Search(self.aim, self.odds.strip(), int(self.tries), desk.text)
            self.session.searched = desk.text
            text = turned(desk.text, self._still(desk.text))
            await self.job.run(searched, text, str(desk.path), wish, self.session.units)

    async def again(self) -> None:
        """The find there is, in the units that were chosen."""
        if self.job.shown is not None and not self.job.goes:
            await self.job.run(searched_in, self.session.units)

    def _still(self, text: str) -> dict[Knob, str]:
        """The bounds that stand where they stood."""
        there = set(knobs(text, BOUNDS))
        return {knob: number for knob, number in self.bounds.items() if knob in there}

    def say(self) -> None:
        """Whether the find is of the text as it stands."""
        shown = self.job.shown
        if shown is None:
            none = _("Nothing is searched yet. A search makes many cool-downs: it takes some minutes.")
            self.old.set_text("" if self.job.goes else none)
            return
        same = self.session.searched == self.session.at_desk().text
        self.old.set_text("" if same else earlier(self.session, shown))

    def show(self) -> None:
        """The find."""
        self.place.clear()
        shown = self.job.shown
        if shown is not None and shown.offers is not None:
            with self.place:
                self._show(shown, shown.offers)
        self.say()

    def _show(self, shown: Shown, offers: Offers) -> None:
        words("p", shown.verdict, "verdict" if shown.good else "verdict wrong", role="status")
        with box("ul"):
            for sentence in offers.said:
                words("li", sentence)
        if offers.change:
            self._change(offers.change)
        if offers.figure:
            words("h2", _("What no other doses beat: choose one to see its cool-down"))
            made = ui.html(offers.figure, sanitize=False).classes("trade")
            made.on("click", self._chosen, js_handler=CHOOSES)
        if offers.rows:
            self._rows(offers)
        words("a", _("The whole report"), href=f"/paper/doses?{self.job.number}", target="_blank")

    def _change(self, change: str) -> None:
        words("h2", _("What it would change in the plan"))
        words("pre", change, "change")
        button(_("Prove it, then write it into the plan"), self.adopt, "strong")

    def _rows(self, offers: Offers) -> None:
        with box("details"):
            words("summary", _("The same as a table"))
            say = [
                (_("See its cool-down"), f"{_('See its cool-down')}: {', '.join(row)}") for row in offers.rows
            ]
            rows_that_open((*offers.head, _("To see")), offers.rows, say, self.open, classes="loose numbers")

    async def _chosen(self, event: events.GenericEventArguments) -> None:
        await self.open(int(event.args))

    async def open(self, row: int) -> None:
        """Show the cool-down of one row of the trade-off."""
        session, shown = self.session, self.job.shown
        rows = shown.offers.rows if shown and shown.offers else ()
        if self.job.goes or not 0 <= row < len(rows):
            return
        try:
            desk = session.at_desk()
            text = await self.job.worker.do(offered, row)
            session.proposal = Proposal(", ".join(rows[row]), text, desk.text)
            ui.navigate.to(COOLDOWN)
            tried, written = (Run(one, str(desk.path), None, True) for one in (text, desk.text))
            await session.cooldown.run(drawn, tried, Look(written, units=session.units))
        except SteadfallError as error:
            refused(error)

    async def adopt(self) -> None:
        """Prove the plan with the doses that were found; then they are written."""
        desk = self.session.at_desk()
        if self.session.searched != desk.text:
            refused(AskError(_("The plan was changed since the search; search once more.")))
            return
        job, before = self.session.adopted, self.session.adopted.number
        await job.run(adopted, str(desk.path))
        if job.shown is not None and job.number != before:  # written once, whichever tabs look on
            with self.adopting.box:
                self._write(job.shown)

    def _write(self, shown: Shown) -> None:
        if not shown.good or digest(self.session.at_desk().text) != digest(self.session.searched):
            ui.notify(f"{_('Not written')}: {shown.verdict}", type="negative", multi_line=True, timeout=8000)
            return
        with told():
            self.session.write(shown.text, None)
            ui.notify(f"{_('Written into the text of the plan; save it there.')} {shown.verdict}")
