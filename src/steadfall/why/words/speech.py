"""Values, moments and comparisons in words."""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.logic.nodes import Type, Value
from steadfall.plan.text.lay_out import time
from steadfall.quantities import moment
from steadfall.roles import HELPER, Identity, Role, stage
from steadfall.source import Mark
from steadfall.why.facts.facts import INPUT
from steadfall.why.otherwise.change import WAIT, Change
from steadfall.why.scans.history import History
from steadfall.why.words.wording import Wording

# operator -> how it is said when it holds, and when it does not
RELATIONS: Mapping[str, tuple[str, str]] = {
    "<": ("below", "not below"),
    "<=": ("at most", "above"),
    ">": ("above", "not above"),
    ">=": ("at least", "below"),
    "=": ("equal to", "other than"),
    "<>": ("other than", "equal to"),
}


def since(history: History, scan: int) -> str:
    """Since when, by the scan: `since 1:08`."""
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
    """A change as a person says it, and its place: `full_call off`, `1 s more in blow_out`."""
    if change.kind == WAIT:
        return _wait_told(history, wording, scan, change)
    kind = history.types[change.name]
    if kind in (Type.BOOL, Type.INT) and change.op in ("=", "<>"):
        value = bool(change.value) == (change.op == "=") if kind is Type.BOOL else change.value
        other = "other than " if change.op == "<>" and kind is Type.INT else ""
        word = f"{other}{value_word(wording, history, change.name, value)}"
    else:
        word = f"{RELATIONS[change.op][0]} {value_word(wording, history, change.name, change.value)}"
    it = identity(history, change.name)
    if wording.plan_made and it.role is Role.IN_USE:
        return f"the setting {it.of} {word}", change.mark
    if it.role is Role.LET_GO:
        return f"the call for {it.of} let go before this scan", change.mark
    return f"{change.name} {word}{'' if change.kind == INPUT else ' in the scan before'}", change.mark


_WAITS: Mapping[Role, str] = {
    Role.DOSE_TIME: "of this part of the dose of {}",
    Role.CYCLE_TIME: "of the cycle of {}",
    Role.HELD_TIME: "until {} may move again",
    Role.DISAGREES: "in which {} does not follow its command",
    Role.READY: "of the lead of {}",
    Role.LAG: "of the lag of {}",
}
_BY_STAGE = (Role.DOSE_TIME, Role.CYCLE_TIME)  # these times are those of the present stage


def _wait_told(history: History, wording: Wording, scan: int, change: Change) -> tuple[str, Mark]:
    more, it, now = (
        f"{time(int(change.value))} more",
        identity(history, change.name),
        history.moment(scan),
    )
    if wording.plan_made and it.role is Role.STAGE_TIME:
        own = stage(it.circuit)
        state = wording.state(own, int(now.last[own]))
        return (f"{more} in {state[0]}", state[1]) if state else (f"{more} in the stage", change.mark)
    if wording.plan_made and it.role in _WAITS:
        here = int(now.values.get(stage(it.circuit), 0))
        stages = wording.valves.get(it.owner, {}) if it.role in _BY_STAGE else {}
        return f"{more} {_WAITS[it.role].format(it.owner)}", stages.get(here, change.mark)
    if it.role is Role.HELD:
        return f"{more} of {condition_word(wording, it.served)}", change.mark
    return f"{more} on the timer of {change.name}", change.mark


_OF: Mapping[Role, str] = {
    Role.DONE: "the condition that ends the cool-down",
    Role.ACTIVE: "the condition of the alarm '{}'",
    Role.OUTPUT: "the condition of {}",
    Role.CALL: "the condition of the call for {}",
    Role.CLIMB: "the climb of {}",
}


def condition_word(wording: Wording, serves: Identity) -> str:
    """A condition by what hangs on it."""
    if serves in wording.titles:
        return f"the condition of '{wording.titles[serves][0]}'"
    return _OF.get(serves.role, "the condition").format(serves.of)


def identity(history: History, name: str) -> Identity:
    """What a signal is."""
    row = history.rows_by_name.get(name) or history.inputs.get(name)
    return row.identity if row else HELPER


def called(history: History, wanted: Identity) -> str | None:
    """The name of the assigned signal that is this, if there is one."""
    rows = history.rows_by_name.values()
    return next((row.name for row in rows if row.identity == wanted), None)


def name_word(history: History, name: str) -> str:
    """A signal as a person calls it: what reading a controller's text has numbered or made is said in
    words.
    """
    it = identity(history, name)
    return it.of if it.role is Role.READ and it.of else name


def value_word(wording: Wording, history: History, name: str, value: Value) -> str:
    """A value as a person says it: on, shut, a stage's name, 7.2 barg."""
    kind = history.types[name]
    if kind is Type.BOOL:
        if name in wording.valves:
            return "open" if value else "shut"
        on_off = identity(history, name).role in (Role.OUTPUT, Role.ENERGISED, Role.PUMP)
        if wording.plan_made and (name in history.inputs or on_off):
            return "on" if value else "off"
        return "true" if value else "false"
    if kind is Type.TIME:
        return time(int(value))
    if kind is Type.REAL:
        return number(float(value), wording.units.get(name, ""))
    state = wording.state(name, int(value))
    return state[0] if state else str(value)
