"""Numbers of a plan as fields to fill in, each at its heading; what is written there, its view decides."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from nicegui import events, ui

from steadfall.app.page.knobs import Knob
from steadfall.source import AskError
from steadfall.web.frame import box, told, words
from steadfall.words import _

HEADS: Mapping[str, str] = {
    "Doses": _("Doses"),
    "Climbs": _("Climbs"),
    "Finish": _("Finish"),
    "Settings": _("Settings"),
    "Supplies": _("Supplies"),
    "Start": _("Start temperatures"),
    "Valves": _("Valves and turns"),
    "Steps": _("Stepping down"),
    "Trips": _("Trips and permissives"),
    "Bounds": _("Limits and goals"),
}
NUMBER = re.compile(r"-?[0-9]{1,7}(?:\.[0-9]{1,6})?\Z")
Act = Callable[[Knob, str], Any]


class NumberFields:
    """A field for each number, under its heading; `act` is told what was put in, `look` what is looked at."""

    def __init__(self, act: Act, look: Callable[[Knob], Any] | None = None) -> None:
        self.act, self.look = act, look
        self.found: tuple[Knob, ...] = ()
        self.fields: list[ui.element] = []
        self.place = box("div", "numbers")

    def show(self, found: tuple[Knob, ...]) -> None:
        """These numbers; where they are the same ones as before, only what has changed of them."""
        same = [_called(knob) for knob in found] == [_called(knob) for knob in self.found]
        before, self.found = self.found, found
        if not same:
            self._lay_out()
            return
        for field, knob, old in zip(self.fields, found, before, strict=True):
            if knob.number != old.number:
                field.props["value"] = knob.number
                field.update()

    def _lay_out(self) -> None:
        self.place.clear()
        self.fields = []
        with self.place:
            groups = list(dict.fromkeys(knob.group for knob in self.found))
            for group in groups:
                with box("details", open="") if len(groups) == 1 else box("details"):
                    words("summary", HEADS[group])
                    for place, knob in enumerate(self.found):
                        if knob.group == group:
                            self._field(place, knob)

    def _field(self, place: int, knob: Knob) -> None:
        with box("label", "number-field"):
            words("span", knob.words)
            made = box("input", type="text", inputmode="decimal", value=knob.number, size="7")
            words("span", knob.unit, "unit")
        made.on("change", partial(self._wrote, place), js_handler="(e) => emit(e.target.value)")
        if self.look is not None:
            made.on("focus", partial(self._looked, place))
        self.fields.append(made)

    def _wrote(self, place: int, event: events.GenericEventArguments) -> None:
        text, knob = str(event.args).strip(), self.found[place]
        with told():
            if not NUMBER.match(text):
                bad = _("'{text}' is no number such as {number}")
                raise AskError(bad.format(text=text[:40], number=knob.number))
            self.act(knob, text)

    def _looked(self, place: int) -> None:
        if self.look is not None:
            self.look(self.found[place])


def _called(knob: Knob) -> tuple[str, str, str]:
    return knob.group, knob.words, knob.unit
