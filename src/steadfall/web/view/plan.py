"""The plan: its text with help and problems while it is typed, and what was typed kept at once."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import Any

from nicegui import ui

from steadfall.app.check import Checked, Plan
from steadfall.app.page.knobs import FORMS, Knob, knobs, turned
from steadfall.app.sketch import sketch
from steadfall.source import Problem, SteadfallError
from steadfall.web.frame import box, button, refused, told, words
from steadfall.web.session import Session
from steadfall.web.view.parts.numbers import NumberFields
from steadfall.words import _

PAUSE_S = 0.15  # of typing, after which the text is judged


class PlanView:
    """One tab with the plan's text."""

    def __init__(self, session: Session) -> None:
        self.session, self.turn = session, 0
        self.theirs = False  # the text comes from elsewhere just now
        self._lay_out()
        self.show(None)
        leave = session.listen(self.heard)
        client = ui.context.client
        client.on_delete(leave)
        client.on_connect(self._help)

    def _lay_out(self) -> None:
        with box("section", "text", aria_label=_("Text of the plan")):
            with box("div", "bar"):
                button(_("Save"), self.save, "strong")
                self.state = words("span", "", "state", role="status")
                self.back = button(_("Take back what was written"), self.take_back)
                self.reload = button(_("Take what is on the disk"), self.take)
                self.over = button(_("Save over it"), partial(self.save, over=True))
            self.editor = ui.codemirror(
                self.session.at_desk().text,
                on_change=lambda event: self.typed(event.value),
                keymap={"Mod-s": lambda _event: self.save()},
                language="YAML",
                indent="  ",
            ).classes("editor")
            box("ol", "plan on-paper")
        with box("aside", "beside"):
            self.found = box("section", "found", aria_live="polite")
            with box("details", "drawn"):
                words("summary", _("Numbers that are often changed"))
                self.numbers = NumberFields(self.put, lambda knob: self.editor.reveal_line(knob.line))
            self.piping = _drawing(_("Piping"))
            self.stages = _drawing(_("Stages"))

    async def _help(self) -> None:
        ui.run_javascript(
            f"import('/look/help.js').then((m) => m.help({self.editor.id}, {_('Text of the plan')!r}))"
        )

    def typed(self, text: str) -> None:
        """Something was typed here."""
        if self.theirs:
            return
        try:
            self.session.write(text, self)
        except SteadfallError as error:
            refused(error)
        self.show_state()
        self.judge_soon()

    def heard(self, by: object) -> None:
        """Another tab, or the disk, has changed the plan."""
        if by is self:
            return
        with self.editor:
            self.show(by)

    def show(self, _by: object) -> None:
        """The desk as it is now."""
        text = self.session.at_desk().text
        if self.editor.value != text:
            self.theirs = True
            self.editor.set_value(text)
            self.theirs = False
        self.show_state()
        self.judge_soon()

    def show_state(self) -> None:
        """Whether it is saved, and whether others have saved."""
        desk = self.session.at_desk()
        changed, gone = desk.changed(), desk.on_disk() is None
        said = _("Saved") if not desk.typed else _("Not saved yet; what you typed is kept")
        if changed:
            said = _("The file has gone from the disk") if gone else _("Somebody else has changed the file")
        self.state.set_text(said)
        self.state.classes(add="wrong" if changed else "", remove="" if changed else "wrong")
        self.back.set_visibility(self.session.before() is not None)
        self.reload.set_visibility(changed and not gone)
        self.over.set_visibility(changed)

    def put(self, knob: Knob, number: str) -> None:
        """A number is put into the text at its place, and nothing else is changed."""
        text = self.session.at_desk().text
        if knob in knobs(text, FORMS):
            self.session.write(turned(text, {knob: number}), None)

    def save(self, *, over: bool = False) -> None:
        """Write the file."""
        with told():
            self.session.save(over=over)

    def take(self) -> None:
        """Take what the file says."""
        with told():
            self.session.take()

    def take_back(self) -> None:
        """The text as it was before a button wrote into it; once more brings that again."""
        with told():
            before = self.session.before()
            if before is not None:
                self.session.write(before, None)

    def judge_soon(self) -> None:
        """Judge the text once nothing more is typed for a moment."""
        self.turn += 1
        turn = self.turn

        async def judge() -> None:
            await asyncio.sleep(PAUSE_S)
            if turn != self.turn or self.editor.is_deleted:
                return
            desk = self.session.at_desk()
            checked = await asyncio.to_thread(desk.check)
            drawn = None if checked.plan is None else await asyncio.to_thread(_drawn, checked.plan)
            if turn == self.turn and not self.editor.is_deleted:
                with self.editor:
                    self.show_problems(checked, desk.text)
                    if checked.plan is not None:
                        self.numbers.show(knobs(desk.text, FORMS))
                    self.show_pictures(drawn)

        asyncio.get_running_loop().create_task(judge())

    def show_problems(self, checked: Checked, text: str) -> None:
        """Mark the lines, and list what is wrong or could be better."""
        lines = text.split("\n")
        notes = [
            *((one, "problem") for one in checked.problems),
            *((one, "advice") for one in checked.advice),
        ]
        self.editor.decorations[:] = [mark for one, kind in notes for mark in marks(one, kind, lines)]
        tips: dict[int, str] = {}
        for one, _kind in notes:
            if 1 <= one.mark.line <= len(lines):
                tips[one.mark.line] = "\n".join(filter(None, (tips.get(one.mark.line), said(one))))
        self.editor.line_tooltips = tips
        self.editor.update()
        self.found.clear()
        with self.found:
            self._list(
                _("Problems"), checked.problems, _("None: the plan can be predicted, proved and written.")
            )
            if checked.advice:
                self._list(_("What a careful colleague would point out"), checked.advice, "")

    def show_pictures(self, drawn: tuple[str, str] | None) -> None:
        """The pictures; while the text has problems, those of the last text that had none."""
        for place, svg in zip((self.piping, self.stages), drawn or ("", ""), strict=True):
            place.classes(add="" if drawn else "earlier", remove="earlier" if drawn else "")
            if drawn:
                place.set_content(svg)
                place.set_visibility(True)

    def _list(self, title: str, notes: tuple[Problem, ...], none: str) -> None:
        words("h2", f"{title} ({len(notes)})" if notes else title)
        if not notes:
            words("p", none)
        with box("ol", "notes"):
            for one in notes:
                with box("li"):
                    if one.mark.line:
                        line = one.mark.line
                        button(f"{_('line')} {line}", partial(self.editor.reveal_line, line), "link")
                    words("span", said(one))


def _drawing(title: str) -> ui.html:
    """Room for a picture of our own making, in which the words of a plan are escaped."""
    with box("section", "drawn"):
        words("h2", title)
        made = ui.html("", sanitize=False).classes("drawing")
    made.set_visibility(False)
    return made


def _drawn(plan: Plan) -> tuple[str, str]:
    """Piping and stages of a plan."""
    return sketch(plan).inline, sketch(plan, stages=True).inline


def said(problem: Problem) -> str:
    """A problem in words, without its place."""
    like = f" {_('such as')} '{problem.example}'" if problem.example else ""
    wanted = f"{_('expected')} {problem.expected}{like}" if problem.expected else ""
    if wanted:  # after a question it stands in brackets
        wanted = f" ({wanted})" if problem.read.endswith("?") else f"; {wanted}"
    return f"{problem.key}: {problem.read}{wanted}" if problem.key else f"{problem.read}{wanted}"


def marks(problem: Problem, kind: str, lines: list[str]) -> list[dict[str, Any]]:
    """How a problem is marked in the text: its line, and from its place to the end of the word."""
    row, column = problem.mark.line, problem.mark.column
    if not 1 <= row <= len(lines):
        return []
    found: list[dict[str, Any]] = [{"kind": "line", "line": row, "class": f"line-{kind}"}]
    line = lines[row - 1]
    start = min(max(column - 1, 0), len(line))
    rest = line[start:]
    end = start + max(1, min([rest.find(sign) for sign in ",}]#" if sign in rest] or [len(rest)]))
    if start < len(line):
        before = sum(len(one) + 1 for one in lines[: row - 1])
        stop = min(end, len(line))
        found.append({"kind": "mark", "from": before + start, "to": before + stop, "class": f"mark-{kind}"})
    return found
