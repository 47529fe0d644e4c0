"""Values, moments and comparisons in words."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.nodes import Type, Value
from steadfall.plan.text.lay_out import time
from steadfall.source import Mark
from steadfall.why.facts import INPUT
from steadfall.why.history import History
from steadfall.why.otherwise import WAIT, Change
from steadfall.why.wording import Wording

# operator -> how it is said when it holds, and when it does not
RELATIONS: Mapping[str, tuple[str, str]] = {
    "<": ("below", "not below"),
    "<=": ("at most", "above"),
    ">": ("above", "not above"),
    ">=": ("at least", "below"),
    "=": ("equal to", "other than"),
    "<>": ("other than", "equal to"),
}


def moment(ms: int) -> str:
    """A moment of the run: `12.34 s`."""
    text = f"{ms / 1000:.3f}"
    return f"{text.removesuffix('0')} s"


def since(history: History, scan: int) -> str:
    """Since when, by the scan: `since 8.00 s`."""
    return "since the start" if scan <= 0 else f"since {moment(int(history.times_ms[scan]))}"


def number(value: float, unit: str = "", beside: float | None = None) -> str:
    """A measured number, with as many figures as tell it from what it is compared with."""
    figures = 4
    while (
        beside is not None
        and value != beside
        and figures < 12
        and f"{value:.{figures}g}" == f"{beside:.{figures}g}"
    ):
        figures += 1
    return f"{value:.{figures}g} {unit}".rstrip()


def change_told(history: History, wording: Wording, scan: int, change: Change) -> tuple[str, Mark]:
    """A change as a person says it, and its place: `full_call off`, `1.00 s more in blow_out`."""
    if change.kind == WAIT:
        return _wait_told(history, wording, scan, change)
    kind = history.types[change.name]
    if kind in (Type.BOOL, Type.INT) and change.op in ("=", "<>"):
        value = bool(change.value) == (change.op == "=") if kind is Type.BOOL else change.value
        other = "other than " if change.op == "<>" and kind is Type.INT else ""
        word = f"{other}{value_word(wording, history, change.name, value)}"
    else:
        word = f"{RELATIONS[change.op][0]} {value_word(wording, history, change.name, change.value)}"
    return f"{change.name} {word}{'' if change.kind == INPUT else ' before this scan'}", change.mark


def _wait_told(history: History, wording: Wording, scan: int, change: Change) -> tuple[str, Mark]:
    more, (owner, _, last) = f"{int(change.value) / 1000:.2f} s more", change.name.rpartition(".")
    now = history.moment(scan)
    if wording.plan_made and last == "stage_time":
        state = wording.state(f"{owner}.stage", int(now.last[f"{owner}.stage"]))
        return (f"{more} in {state[0]}", state[1]) if state else (f"{more} in the stage", change.mark)
    if wording.plan_made and owner in wording.valves and last in ("dose_time", "cycle_time", "held_time"):
        stage = int(now.values.get(f"{owner.rpartition('.')[0]}.stage", 0))
        what = {"dose_time": "of this part of the dose of", "cycle_time": "of the cycle of"}.get(last)
        if what is None:
            return f"{more} until {owner} may move again", change.mark
        return f"{more} {what} {owner}", wording.valves[owner].get(stage, change.mark)
    if wording.plan_made and last == "disagrees":
        return f"{more} in which {owner} does not follow its command", change.mark
    if last == "held" and owner in wording.titles:
        return f"{more} of the condition of '{wording.titles[owner][0]}'", change.mark
    return f"{more} on the timer of {change.name}", change.mark


_MADE_BY_READER = {"#if": "the condition of the IF here", "#case": "the number that the CASE here looks at"}


def name_word(name: str) -> str:
    """A signal as a person calls it: what reading a controller's text has numbered or made is said in
    words.
    """
    plain = name.partition("~")[0]
    return _MADE_BY_READER.get(plain.rpartition(".")[2], plain)


def value_word(wording: Wording, history: History, name: str, value: Value) -> str:
    """A value as a person says it: on, shut, a stage's name, 7.2 barg."""
    kind = history.types[name]
    if kind is Type.BOOL:
        if name in wording.valves:
            return "open" if value else "shut"
        if wording.plan_made and name in history.inputs:
            return "on" if value else "off"
        return "true" if value else "false"
    if kind is Type.TIME:
        return time(int(value))
    if kind is Type.REAL:
        return number(float(value), wording.units.get(name, ""))
    state = wording.state(name, int(value))
    return state[0] if state else str(value)
