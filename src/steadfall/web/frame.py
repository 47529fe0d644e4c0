"""What every view stands in: title block, the other views, and small words of HTML.

Rule of this file: what comes from a plan goes in as text, never as HTML; controls are the browser's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from attrs import frozen
from nicegui import ui
from nicegui.elements.mixins.text_element import TextElement
from nicegui.events import GenericEventArguments

from steadfall.app.page.desk import MOST
from steadfall.source import AskError, SteadfallError
from steadfall.web.session import Job, Session
from steadfall.words import _

READ = f"f.size > {MOST // 2} ? null : await f.text()"
BRING = f"async (e) => {{ const f = e.target.files[0]; if (f) emit([f.name, {READ}]); }}"
CHOOSES = "(e) => { const one = e.target.closest('[data-row]'); if (one) emit(Number(one.dataset.row)); }"
FIRST = "^value"  # of a control: what it begins with; a page that is drawn anew leaves what was put in since
SHEETS = ("tokens.css", "sketch.css", "page.css", "try.css")


@frozen
class Link:
    """A view as the others name it."""

    path: str
    title: str
    needs_plan: bool = True


def words(tag: str, text: str, classes: str = "", **given: str) -> TextElement:
    """An element with text, and attributes (a trailing `_` is dropped, `_` becomes `-`)."""
    made = TextElement(tag=tag, text=text)
    for name, value in given.items():
        made.props[name.rstrip("_").replace("_", "-")] = value
    made.classes(classes)
    return made


def box(tag: str = "div", classes: str = "", **given: str) -> ui.element:
    """An element to put others in."""
    made = ui.element(tag)
    for name, value in given.items():
        made.props[name.rstrip("_").replace("_", "-")] = value
    made.classes(classes)
    return made


def button(text: str, act: Callable[[], Any], classes: str = "") -> TextElement:
    """The browser's own button."""
    made = words("button", text, classes, type="button")
    made.on("click", act)
    return made


def table(rows: Sequence[Sequence[str]]) -> None:
    """A head and rows."""
    with box("table", "loose"):
        for row in rows:
            with box("tr"):
                for cell in row:
                    words("th" if row is rows[0] and cell else "td", cell)


def choice(
    label: str, options: Sequence[tuple[str, str]], chosen: str, act: Callable[[str], Any]
) -> ui.element:
    """The browser's own choice of one out of some: values with their words."""
    with box("label", "field"):
        words("span", label)
        made = ui.element("select")
        with made:
            for value, text in options:
                one = words("option", text, value=value)
                if value == chosen:
                    one.props["selected"] = True
    made.on("change", lambda event: act(str(event.args)), js_handler="(e) => emit(e.target.value)")
    return made


def entry(
    label: str,
    value: str,
    act: Callable[[str], Any],
    *,
    like: str = "",
    size: int = 8,
    secret: bool = False,
) -> ui.element:
    """The browser's own field for a line of text, so many letters wide; a secret one shows none of them."""
    with box("label", "field"):
        words("span", label)
        kind = "password" if secret else "text"
        made = box("input", type=kind, placeholder=like, size=str(size))
        if secret:
            made.props["autocomplete"] = "off"
    made.props[FIRST] = value
    made.on("input", lambda event: act(str(event.args)), js_handler="(e) => emit(e.target.value)")
    return made


def brings(label: str, endings: str, act: Callable[[str, str], Any]) -> None:
    """The browser's own choice of a file, with its name and its text; one that is too large is refused."""

    def brought(event: GenericEventArguments) -> Any:
        name, text = event.args
        with told():
            if not isinstance(text, str):
                more = _("{name} has more than {most:,} bytes")
                raise AskError(more.format(name=name, most=MOST // 2))
            return act(str(name), text)

    with box("label", "field"):
        words("span", label)
        made = box("input", type="file", accept=endings)
        made.on("change", brought, js_handler=BRING)
        words("span", _("or drop it anywhere on the page"), "aside")


@contextmanager
def framed(session: Session, links: Sequence[Link], here: Link) -> Iterator[None]:
    """The page round a view."""
    ui.add_head_html("".join(f'<link rel="stylesheet" href="/look/{name}">' for name in SHEETS))
    ui.add_head_html(
        '<script src="/look/words.js"></script><script src="/look/drop.js" type="module"></script>'
    )
    title = "" if session.desk is None else session.desk.path.name
    ui.page_title(f"{title} - {here.title}" if title else here.title)
    with box("header", "head"):
        with box("h1", "what"):
            words("strong", "Steadfall")
            words("span", title or _("no plan is open"))
        with box("nav", "views", aria_label=_("Views")):
            for link in links:
                if link.needs_plan and session.desk is None:
                    continue
                mark = {"aria_current": "page"} if link == here else {}
                words("a", link.title, href=link.path, **mark)
    with box("div", f"view {here.path.strip('/') or 'begin'}"):
        yield
    words(
        "p", _("A cool-down sequence is not a safety function. A prediction is not a measurement."), "caution"
    )


def refused(error: Exception) -> None:
    """Say what could not be done."""
    ui.notify(str(error), type="negative", multi_line=True, timeout=8000)


@contextmanager
def told() -> Iterator[None]:
    """Whatever a person can mend is said, not raised."""
    try:
        yield
    except SteadfallError as error:
        refused(error)


class Going:
    """How far a job is, with a stop; goes away when it is done. Others are told that it has `begun`, and is
    `done`.
    """

    def __init__(self, job: Job, done: Callable[[], None], begun: Callable[[], None] | None = None) -> None:
        self.job, self.done, self.begun, self.went = job, done, begun, job.goes
        self.box = box("div", "going", role="status")
        with self.box:
            self.bar = box("progress", aria_label=_("how far it is"))
            self.words = words("span", "")
            button(_("Stop"), job.stop)
        self.failed = words("pre", "", "failed", role="alert")
        self.show()
        job.listeners.append(self.show)
        ui.context.client.on_delete(lambda: job.listeners.remove(self.show))

    def show(self) -> None:
        """As it is now."""
        job = self.job
        self.box.set_visibility(job.goes)
        self.failed.set_visibility(bool(job.failed) and not job.goes)
        self.failed.set_text(job.failed)
        self.words.set_text(job.words or _("Getting ready"))
        if job.of:
            self.bar.props["value"], self.bar.props["max"] = f"{job.done:.3f}", f"{job.of:.3f}"
        else:
            self.bar.props.pop("value", None)
        self.bar.update()
        if job.goes and not self.went and self.begun is not None:
            self.begun()
        if self.went and not job.goes:
            with self.box:  # the work may have been begun in another tab
                self.done()
        self.went = job.goes
