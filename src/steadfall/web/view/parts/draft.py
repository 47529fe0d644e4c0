"""A short form that drafts a plan: what is left open is typical, and shown as such in its field."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from nicegui import events, ui

from steadfall.app.new import QUESTIONS, Question, draft, suggested
from steadfall.source import AskError
from steadfall.web.frame import box, button, choice, told, words
from steadfall.words import _, said


class DraftForm:
    """The questions, group by group; `begin` is told the text that comes of the answers."""

    def __init__(self, begin: Callable[[str], Any]) -> None:
        self.begin = begin
        self.answers: dict[str, str] = {}
        self.fields: dict[str, ui.element] = {}
        with box("div", "groups"):
            for group in dict.fromkeys(one.group for one in QUESTIONS.values()):
                with box("fieldset"):
                    words("legend", said(group))
                    for one in QUESTIONS.values():
                        if one.group == group:
                            self._ask(one)
        self.wrong = words("p", "", "wrong", role="alert")
        button(_("Draft the plan"), self.write, "strong")
        self._suggest()

    def _ask(self, one: Question) -> None:
        if one.options:
            options = [(name, said(text)) for name, text in one.options]
            choice(said(one.words), options, one.usual, partial(self._answer, one.name))
            return
        with box("label", "field"):
            words("span", said(one.words))
            made = box("input", type="text", maxlength="100", name=one.name)
        made.on("change", partial(self._typed, one.name), js_handler="(e) => emit(e.target.value)")
        self.fields[one.name] = made

    def _typed(self, name: str, event: events.GenericEventArguments) -> None:
        self._answer(name, str(event.args))

    def _answer(self, name: str, answer: str) -> None:
        self.answers[name] = answer
        self._suggest()

    def _suggest(self) -> None:
        """Show in each open field what is typical after the answers so far, and what does not fit."""
        self.wrong.set_text("")
        for name, made in self.fields.items():
            try:
                made.props["placeholder"] = suggested(name, self.answers)
            except AskError as error:
                self.wrong.set_text(str(error))
            made.update()

    def write(self) -> None:
        """Draft the plan, and hand it over."""
        with told():
            self.begin(draft({name: text for name, text in self.answers.items() if text.strip()}))
