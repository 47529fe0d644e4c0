"""Limits, goals, scenarios, requirements and the wiring: the fields that are more than the value of one key.

Rule of this file: as in `plan.read.equipment`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from steadfall.dimensions import DIMENSIONS
from steadfall.plan.keys.held import Aim, Bounded, Measured, Mishap, Openings, Spanned
from steadfall.plan.keys.kinds import Amount
from steadfall.plan.keys.numbers import span_of
from steadfall.plan.keys.sections.aims import ANY, BROKEN, MEASURED, MISHAPS, PRESSED
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.meaning.names import parts
from steadfall.plan.model import Goal, Input, Io, Limit, Terminal
from steadfall.plan.model.upset import POWER, Sort, Wrong
from steadfall.plan.problems import UNREAD, did_you_mean
from steadfall.plan.read.inputs import quantities, setting
from steadfall.plan.read.known import Here
from steadfall.plan.read.sequence import part_ms
from steadfall.units import QuantityError, exact, shown

SUPPLY_SAID = "its number, such as 'works_air.pressure: 0 barg'"
OF_SUPPLY = "pressure", "temperature"  # what a scenario may change; the word is the dimension too
# The window of a rate where the plan gives none, by the unit it is written in.
WINDOWS: Mapping[str, float] = {"K/s": 1.0, "K/min": 60.0, "K/h": 3600.0}


def limit(
    of: str,
    at_most: Measured | None,
    at_least: Measured | None,
    fall_rate: Bounded | None,
    rise_rate: Bounded | None,
    over: int | None,
    *,
    here: Here,
) -> tuple[str, str, float, float]:
    """What is bounded, how, by what value, and the window of a rate."""
    rates = {"fall_rate": fall_rate, "rise_rate": rise_rate}
    said = {"at most": at_most, "at least": at_least, **rates}
    given = [key for key, value in said.items() if value is not None]
    if here.is_read and len(given) != 1:
        read = "more than one bound is given" if given else "no bound is given"
        place = f"key {given[1]}" if given else ""
        here.add("", "one-bound", read, "one of 'at most', 'at least', 'fall_rate', 'rise_rate'", at=place)
    rate = rates.get(given[0]) if given else None
    if rate is not None:
        _check_falls(of, given[0], here)
        window = over / 1000 if over is not None else WINDOWS.get(rate.unit, 1.0)
        return given[0], rate.bound, rate.value, window
    if over is not None:
        here.add("over", "unused-key", "a window is for a rate", "no 'over' here", at="key over")
    bound, value = ("at_most", at_most) if at_most is not None else ("at_least", at_least)
    if value is None:
        return "value", "", UNREAD, 0.0
    _check_dimension(of, given[0], value.dimension, here)
    return "value", bound, value.value, 0.0


def _check_falls(of: str, key: str, here: Here) -> None:
    """A rate is that of a temperature, or of a difference of temperatures."""
    known = quantities(here.known).get(of, "")
    if known not in ("", "temperature", "temperature_difference"):
        read = f"a {key.replace('_', ' ')} is for temperatures"
        here.add(key, "wrong-dimension", read, f"a bound on '{of}', a {known.replace('_', ' ')}", at=key)


def _check_dimension(of: str, key: str, written: str, here: Here) -> None:
    known = quantities(here.known).get(of, "")
    if known and written and known != written:
        words = {name: name.replace("_", " ") for name in (known, written)}
        read = f"a {words[written]} is given"
        here.add(key, "wrong-dimension", read, f"a bound on '{of}', a {words[known]}", at=key)


def between(between: Spanned | None) -> tuple[float, float] | None:
    """The range of the same quantity in which the bound holds."""
    return None if between is None else (between.first, between.second)


def limit_text(*, here: Here) -> str:
    """As a person wrote it, less the word that all begin with."""
    return here.said.removeprefix("of ")


def goal(sentence: Aim | None, *, here: Here) -> tuple[str, str, float, str]:
    """A quantity below or above a value, and the text of the goal."""
    text = here.said.removeprefix("goal ")
    if sentence is None:
        return "", "below", UNREAD, text
    of = sentence.of.text
    dimension = quantities(here.known).get(of)
    value: Any = UNREAD
    try:
        value = float(exact(sentence.value.text, (dimension,) if dimension in ANY else ANY)[0])
    except QuantityError as error:
        here.problems.misread(sentence.value.mark, "goal", error)
    return of, sentence.bound.text, value, text


def within(within_ms: int) -> float:
    """Seconds."""
    return within_ms / 1000


def limits_and_goals(limits: tuple[Limit | Goal, ...]) -> tuple[tuple[Limit, ...], tuple[Goal, ...]]:
    """Limits and goals stand in one list of the plan."""
    return (
        tuple(item for item in limits if isinstance(item, Limit)),
        tuple(item for item in limits if isinstance(item, Goal)),
    )


def tolerance(within: Measured) -> tuple[float, bool]:
    """How far a number may be off, and whether that is a share of it."""
    relative = within.dimension == "percent"
    return within.value / 100 if relative else within.value, relative


def values(
    values: Mapping[str, str | Measured], *, here: Here
) -> tuple[dict[str, float | None], dict[str, float], dict[str, Wrong], tuple[str, ...]]:
    """The values that a step gives to inputs, those that it gives to supplies, what goes wrong, and the
    buttons it presses.
    """
    inputs: dict[str, float | None] = {}
    supplies: dict[str, float] = {}
    mishaps: dict[str, Wrong] = {}
    presses: list[str] = []
    numbers = [f"{name}.{of}" for name in here.known.supplies for of in OF_SUPPLY]
    for name, value in values.items():
        item = here.known.inputs.get(name)
        if isinstance(value, str) and value in MISHAPS:
            mishaps |= _mishap(name, Wrong(value), here)
        elif item is not None and value == PRESSED:
            presses += _pressed(item, here)
        elif item is not None:
            inputs[name] = _given(value, item, here)
        elif name in numbers:
            supplies[name] = _of_supply(value, name, here)
        elif sorts := _sorts(name, here):
            if isinstance(value, str) and value:
                read = f"'{name}' is {sorted(sorts)[0]}, and never '{value}'"
                here.add(name, "other-thing", read, _mishaps(sorts), at=name)
        else:
            read = f"'{name}' is no input{did_you_mean(name, [*here.known.inputs, *numbers])}"
            expected = "an input of the plan, or the pressure or temperature of a supply"
            here.add(name, "unknown-name", read, expected, at=f"key {name}")
    return inputs, supplies, mishaps, tuple(presses)


def _mishap(name: str, wrong: Wrong, here: Here) -> dict[str, Wrong]:
    """What goes wrong with a thing, where it can."""
    sorts = _sorts(name, here)
    if not sorts:
        expected = f"{wrong.sort}, with which '{wrong}' can be the matter"
        here.add(name, "unknown-name", f"there is no '{name}'", expected, at=f"key {name}")
    elif wrong.sort not in sorts:
        here.add(name, "other-thing", f"'{wrong}' is for {wrong.sort}", _mishaps(sorts), at=name)
    elif wrong in _OF_DIGITAL and _OF_DIGITAL[wrong] is not here.known.inputs[name].is_digital:
        read = f"'{name}' is {'no' if _OF_DIGITAL[wrong] else 'a'} switch"
        here.add(name, "other-thing", read, "another word, such as 'sticks'", at=name)
    return {name: wrong} if wrong.sort in sorts else {}


def _mishaps(sorts: set[Sort]) -> str:
    """What can be the matter with a thing."""
    return ", ".join(one.value for one in Wrong if one.sort in sorts and one.value in MISHAPS) or SUPPLY_SAID


# What can be wrong with one kind of input alone: with switches and buttons, or with all others.
_OF_DIGITAL = {Wrong.BOUNCES: True, Wrong.DRIFTS_UP: False, Wrong.DRIFTS_DOWN: False}


def _sorts(name: str, here: Here) -> set[Sort]:
    """What a name stands for."""
    known = here.known
    circuit, valve = parts(name)
    kind = known.circuit_types.get(known.circuits[circuit].type) if circuit in known.circuits else None
    found = {
        Sort.INPUT: name in known.inputs,
        Sort.VALVE: (kind is not None and valve in kind.valves) or name in known.main_valves,
        Sort.CIRCUIT: name in known.circuits,
        Sort.STREAM: name in known.gas_streams,
        Sort.PUMP: name in known.pumps,
        Sort.SUPPLY: name in known.supplies,
        Sort.POWER: name == POWER,
    }
    return {sort for sort, there in found.items() if there}


def _pressed(item: Input, here: Here) -> list[str]:
    """The button that is pressed; nothing else can be."""
    if item.kind in ("button", ""):
        return [item.name]
    read = f"'{item.name}' is a {item.kind.replace('_', ' ')}, and only a button is pressed"
    here.add(item.name, "not-a-button", read, "on or off" if item.is_digital else "a value", at=item.name)
    return []


def panel(panel: Mapping[str, Measured] | None, *, here: Here) -> dict[str, float]:
    """What a scenario has set on the panel."""
    found: dict[str, float] = {}
    for name, value in (panel or {}).items():
        item = here.known.settings.get(name)
        if item is None:
            here.problems.unknown(here.at.of("set"), "set", name, "setting", here.known.settings)
        elif item.is_read and value.dimension not in ("", item.dimension):
            known, given = (DIMENSIONS[one].words for one in (item.dimension, value.dimension))
            read = f"'{name}' is {known}, and {given} is given"
            here.add("set", "wrong-dimension", read, known, at="set")
        elif item.is_read and not item.low <= value.value <= item.high:
            ends = " to ".join(shown(end, item.dimension, 6, item.unit) for end in (item.low, item.high))
            here.add("set", "outside-range", f"'{name}' cannot be set so", ends, at="set")
        else:
            found[name] = value.value
    return found


def _given(value: str | Measured, item: Input, here: Here) -> float | None:
    if value == BROKEN:
        return 0.0 if item.is_digital else item.speaks[0]
    if value != MEASURED:
        return setting(value, item.kind, item.name, here)
    if item.measures is None:
        read = f"'{item.name}' is set by a person or another system, and measures nothing"
        here.add(item.name, "measures-nothing", read, "a value", at=item.name)
    return None


def _of_supply(value: str | Measured, name: str, here: Here) -> float:
    of = parts(name)[1]
    if isinstance(value, Measured) and value.dimension in (of, ""):
        key = next(key for key in SECTIONS["supply"].keys if key.name == of)
        if isinstance(key.kind, Amount) and not _inside(value.value, key.kind):
            words = f"{DIMENSIONS[of].words} from {key.kind.least} up to {key.kind.most}, as of any supply"
            here.add(name, "out-of-bounds", "this cannot be right here", words, example=key.example, at=name)
        return value.value
    read = f"a {value.dimension} is given" if isinstance(value, Measured) else f"'{value}' is for inputs"
    here.add(name, "wrong-dimension", read, f"a {of}", at=name)
    return float(UNREAD)


def _inside(value: float, kind: Amount) -> bool:
    """Whether a value is no slip of the pen; one that could not be read is none."""
    span = span_of(kind)
    return not (value < span.least or value > span.most)


def openings(sentence: Openings | None, *, here: Here) -> tuple[int, str, int]:
    """At most how many openings of which valve, in what time."""
    if sentence is None:
        return UNREAD, "", UNREAD
    return int(sentence.count.text), sentence.valve.text, part_ms(sentence.time, "at_most", here)


def fault(sentence: Mishap | None) -> tuple[str, str]:
    """What is the matter, and with which input; with none where the power fails."""
    what = sentence and (sentence.cut or sentence.what)
    signal = sentence and sentence.signal
    return what.text if what else "", signal.text if signal else ""


def signal(*, here: Here) -> str:
    """The signal that a row of the wiring is for."""
    return here.name


def io(io: str | Io | Mapping[str, Terminal] | None) -> Io:
    """The wiring, or where its list lies."""
    if isinstance(io, Io):
        return io
    return Io(list_file=io) if isinstance(io, str) else Io(terminals=io or {})
