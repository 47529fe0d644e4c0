"""What a person presses, turns and drags in a trial: the browser's own controls, by keyboard as well.

Rule of this file: a button is down as long as a finger or a key is; everything else stays as it is put.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from functools import partial
from typing import Any

from nicegui.events import GenericEventArguments

from steadfall.web.frame import box, button, choice, words
from steadfall.web.live import Live
from steadfall.words import _

Do = Callable[[str, str], Awaitable[None]]
ON, OFF, MEASURED, BROKEN = "on", "off", "measured", "broken wire"  # as a plan says it
OURS, PLANTS, PANEL = ("button", "switch", "level"), ("contact", "sensor"), ("setting", "power")
LOST, BACK = "lost", "back"
DOWN = "(e) => { if ((e.key === ' ' || e.key === 'Enter') && !e.repeat) { e.preventDefault(); emit(); } }"
UP = "(e) => { if (e.key === ' ' || e.key === 'Enter') { e.preventDefault(); emit(); } }"
HELD = "(e) => { if (e.buttons) emit(); }"


def hands(live: Live, do: Do) -> None:
    """Every input of the plan."""
    made = {"button": _button, "switch": _switch, "contact": _contact, "power": _power}
    groups = (_("Switches and buttons"), OURS), (_("Sensors"), PLANTS), (_("Settings and power"), PANEL)
    for title, kinds in groups:
        rows = [one for one in live.sheet["controls"] if one["kind"] in kinds]
        if rows:
            words("h2", title)
        for one in rows:
            made.get(one["kind"], _level)(live, one, do)


def _state(one: Mapping[str, Any]) -> None:
    """What the controller is shown, written by the script of the page."""
    given = {"data_shown": one["name"], "data_on": _("on"), "data_off": _("off"), "data_unit": one["unit"]}
    words("output", "", **given)


def _button(_live: Live, one: Mapping[str, Any], do: Do) -> None:
    with box("div", "hand"):
        made = words("button", one["words"], "press", type="button", data_held=one["name"])
        _state(one)
    press, release = partial(do, one["name"], "press"), partial(do, one["name"], "release")
    made.on("pointerdown", press)
    made.on("keydown", press, js_handler=DOWN)
    made.on("keyup", release, js_handler=UP)
    made.on("pointerleave", release, js_handler=HELD)
    for event in ("pointerup", "pointercancel", "blur"):
        made.on(event, release)


def _switch(live: Live, one: Mapping[str, Any], do: Do) -> None:
    with box("div", "hand"):
        _turned(live, one, do, (ON, OFF))
        _state(one)


def _power(live: Live, one: Mapping[str, Any], do: Do) -> None:
    with box("div", "hand"):
        _turned(live, one, do, (BACK, LOST))


def _turned(live: Live, one: Mapping[str, Any], do: Do, ways: tuple[str, str]) -> None:
    """A switch between two words of a plan."""
    name, usual = one["name"], one["usual"]
    on, off = ways

    async def turn() -> None:
        stands = live.now.get("held", {}).get(name, usual)
        await do(name, off if stands == on else on)

    made = button(one["words"], turn, "turn")
    made.props["role"], made.props["aria-checked"] = "switch", "true" if usual == on else "false"
    made.props["data-held"], made.props["data-usual"], made.props["data-checked"] = name, usual, on


def _contact(_live: Live, one: Mapping[str, Any], do: Do) -> None:
    ways = [(MEASURED, _("left to the plant")), (ON, _("stuck on")), (OFF, _("stuck off"))]
    with box("div", "hand"):
        choice(one["words"], ways, MEASURED, partial(do, one["name"]))
        _state(one)


def _level(_live: Live, one: Mapping[str, Any], do: Do) -> None:
    name, unit = one["name"], one["unit"]
    digits = len(f"{one['step']:g}".partition(".")[2])

    async def drag(event: GenericEventArguments) -> None:
        await do(name, f"{float(event.args):.{digits}f} {unit}")

    with box("div", "hand"):
        with box("label", "level"):
            words("span", one["words"])
            ends = {"min": f"{one['least']:g}", "max": f"{one['most']:g}", "step": f"{one['step']:g}"}
            made = box("input", type="range", data_level=name, **ends)
        _state(one)
        if one["kind"] == "sensor":
            button(_("left to the plant"), partial(do, name, MEASURED), "link")
            button(_("broken wire"), partial(do, name, BROKEN), "link")
    made.on("input", drag, throttle=0.15, js_handler="(e) => emit(e.target.value)")
