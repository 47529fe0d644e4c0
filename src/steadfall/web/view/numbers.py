"""Numbers of a plan as fields to fill in, each at its heading; what is written there, its view decides."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from nicegui import events, ui

from steadfall.app.knobs import Knob
from steadfall.source import AskError
from steadfall.web.frame import box, told, words
from steadfall.web.words import _

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
Write = Callable[[Knob, str], Any]


def number_fields(found: Sequence[Knob], write: Write) -> None:
    """A field for each number, under its heading; `write` is told what was put in."""
    for group in dict.fromkeys(knob.group for knob in found):
        with box("details"):
            words("summary", HEADS[group])
            for knob in found:
                if knob.group == group:
                    _field(knob, write)


def _field(knob: Knob, write: Write) -> None:
    with box("label", "number-field"):
        words("span", knob.words)
        made = ui.element("input")
        made.props.update({"type": "text", "inputmode": "decimal", "value": knob.number, "size": "7"})
        words("span", knob.unit, "unit")
    made.on("change", partial(_wrote, knob, write), js_handler="(e) => emit(e.target.value)")


def _wrote(knob: Knob, write: Write, event: events.GenericEventArguments) -> None:
    text = str(event.args).strip()
    with told():
        if not NUMBER.match(text):
            raise AskError(f"'{text[:40]}' is no number such as {knob.number}")
        write(knob, text)
