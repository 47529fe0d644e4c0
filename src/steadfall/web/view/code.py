"""The code: the program beside the plan, each line with those that it came from, and its lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from nicegui import ui

from steadfall.web.frame import Going, box, brings, button, words
from steadfall.web.session import Session
from steadfall.web.shown import Shown
from steadfall.web.tasks import compared, emitted
from steadfall.web.view.parts.paper import earlier, framed_paper
from steadfall.words import _


class CodeView:
    """One tab with the program."""

    def __init__(self, session: Session) -> None:
        self.session, self.job = session, session.code
        with box("div", "bar"):
            button(_("Write the program"), self.write, "strong")
            self.old = words("span", "", "state", role="status")
        with box("div", "bar"):
            brings(_("Compare the text of a controller"), ".st,.txt", self.compare)
        self.going = Going(self.job, self.show)
        self.comparing = Going(session.compared, self.show)
        self.place = box("div")
        client = ui.context.client
        client.on_delete(session.listen(lambda _by: self.say()))
        ui.add_body_html('<script type="module" src="/look/code.js"></script>')
        self.show()

    async def write(self) -> None:
        """Write it from the text as it stands."""
        desk = self.session.at_desk()
        await self.job.run(emitted, desk.text, str(desk.path))

    async def compare(self, name: str, text: str) -> None:
        """Compare a controller's text with the plan as it stands."""
        desk = self.session.at_desk()
        await self.session.compared.run(compared, desk.text, str(desk.path), name, text)

    def say(self) -> None:
        """Whether the program is of the text as it stands."""
        none = _("Nothing is written yet.")
        self.old.set_text(earlier(self.session, self.job.shown) if self.job.shown else none)

    def show(self) -> None:
        """The program there is."""
        self.place.clear()
        with self.place:
            if self.session.compared.shown is not None:
                framed_paper("compared", self.session.compared.number)
            if self.job.shown is not None:
                self._show(self.job.shown)
        self.say()

    def _show(self, shown: Shown) -> None:
        code = shown.code
        if code is None:
            return
        with box("ul", "files"):
            for name in code.files:
                with box("li"):
                    words("a", name, href=f"/file/{name}", download=name)
        plan = self.session.at_desk().text.split("\n")
        ours = [((number,), line) for number, line in enumerate(plan, 1)]
        with box("div", "both"):
            _listing(_("The plan"), ours)
            _listing(_("The program"), list(zip(code.origins, code.text.split("\n"), strict=True)))


def _listing(title: str, lines: Sequence[tuple[Iterable[int], str]]) -> None:
    """Lines with the lines of the plan that they belong to; what a plan says is escaped."""
    rows = "".join(_row(" ".join(map(str, of)), escape(line)) for of, line in lines)
    with box("section", "listing"):
        words("h2", title)
        made = ui.html(f'<ol class="plan">{rows}</ol>', sanitize=False)
    made.props["role"], made.props["tabindex"], made.props["aria-label"] = "region", 0, title


def _row(of: str, line: str) -> str:
    """A line; one that belongs to others can be chosen."""
    able = ' tabindex="0"' if of else ""
    return f'<li data-lines="{of}"{able}><code>{line}</code></li>'
