"""What the controller is to do: the fields that are more than the value of one key.

Rule of this file: as in `plan.read.equipment`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from steadfall.plan.keys.held import (
    Delay,
    Due,
    Measured,
    Part,
    Spanned,
)
from steadfall.plan.meaning.names import parts
from steadfall.plan.meaning.trust import sensor_trip
from steadfall.plan.model import Action, Dose, Input, Open, Share, Trip
from steadfall.plan.model.condition import Always, Condition
from steadfall.plan.model.setting import Preset
from steadfall.plan.problems import UNREAD, UNREAD_MS, listed, short
from steadfall.plan.read.known import Here, Known
from steadfall.plan.text.phrase import LONGEST_MS
from steadfall.source import Marks
from steadfall.units import QuantityError, milliseconds


def step_down(step_down: str | Delay | None, *, here: Here) -> int:
    """`at once` is 0 ms, `after 10 s` is 10000 ms."""
    if isinstance(step_down, Delay):
        setting = here.known.settings.get(step_down.time.text)
        if setting and setting.is_time and setting.is_read:
            return Preset({setting: 1})
        return part_ms(step_down.time, "step_down", here)
    return UNREAD_MS if step_down is None else 0


def part_ms(part: Part, key: str, here: Here) -> int:
    """The milliseconds of a time within a sentence."""
    try:
        ms = milliseconds(part.text)
        if not 0 <= ms <= LONGEST_MS:
            read = f"'{short(part.text)}' cannot be right here"
            raise QuantityError("out-of-bounds", read, "a time from 0 s up to 240 h", "10 s")
    except QuantityError as error:
        here.problems.misread(part.mark, key, error)
        return UNREAD_MS
    return ms


def adjusted(preset: Measured, span: Spanned, *, here: Here) -> tuple[str, float, float, float, str]:
    """What a setting measures, its default, its ends and their unit."""
    if preset.dimension and span.dimension and preset.dimension != span.dimension:
        read = f"the default is a {preset.dimension}, and its ends are a {span.dimension}"
        here.add("adjustable", "wrong-dimension", read.replace("_", " "), "two of one kind", at="adjustable")
        return "", UNREAD, UNREAD, UNREAD, ""
    return span.dimension, preset.value, span.first, span.second, span.unit


def actions(actions: Mapping[str, str | Dose | Share], *, here: Here) -> dict[str, Action]:
    """What each valve does; none of one that is shut."""
    found: dict[str, Action] = {}
    for valve, said in actions.items():
        if not isinstance(said, str):
            found[valve] = said
        elif said == "open":
            found[valve] = Open(at=Marks(here.at.own))
    return found


def counted(openings_of: Condition | None, hours_of: Condition | None) -> tuple[Condition, bool]:
    """What a counter counts, and whether it counts how often."""
    found = hours_of if openings_of is None else openings_of
    return found or Always(False), openings_of is not None


def due(
    openings_of: Condition | None, hours_of: Condition | None, due_given: Due | None, *, here: Here
) -> float | None:
    """From where on a counter is due: a number of openings, or hours where it counts those."""
    if due_given is None:
        return None
    hours, given = openings_of is None, due_given.hours is not None
    if hours is not given and (openings_of or hours_of):
        read, expected = f"{'hours are' if given else 'a number is'} given", "hours" if hours else "openings"
        example = "2000 h" if hours else "500000"
        here.add("due", "wrong-dimension", read, f"a number of {expected}", example=example, at="due")
    return float(due_given.count.text)


def trips(trips: tuple[Trip, ...], inputs: Mapping[str, Input]) -> tuple[Trip, ...]:
    """The trips of a plan: its own, and those of the inputs that trip when they are bad."""
    made = (sensor_trip(item) for item in inputs.values())
    return (*trips, *(one for one in made if one is not None))


def called(allows: str, circuits: tuple[str, ...] | None, *, here: Here) -> tuple[str, ...]:
    """The circuits of a call: those it lists, or all that have its stage."""
    return _with_stages([allows] if allows else [], "allows", here) if circuits is None else circuits


def demanded(
    thresholds: Mapping[str, float], circuits: tuple[str, ...] | None, *, here: Here
) -> tuple[str, ...]:
    """The circuits of a demand: those it lists, or all that have its stages."""
    return _with_stages(list(thresholds), "thresholds", here) if circuits is None else circuits


def stepped(stages: tuple[str, ...], circuits: tuple[str, ...] | None, *, here: Here) -> tuple[str, ...]:
    """The circuits that a button steps on: those it lists, or all that have one of its stages."""
    if circuits is not None:
        return circuits
    return tuple(name for name, own in _stages(here.known).items() if set(own) & set(stages))


def _with_stages(wanted: list[str], key: str, here: Here) -> tuple[str, ...]:
    """The circuits that have all these stages; a problem where none has, as a circuit would be missed."""
    stages = _stages(here.known)
    found = tuple(name for name, own in stages.items() if all(stage in own for stage in wanted))
    if wanted and not found and stages:
        known = list(dict.fromkeys(stage for own in stages.values() for stage in own))
        unknown = [stage for stage in wanted if stage not in known]
        for stage in unknown:
            here.problems.unknown(here.at.of(key), key, stage, "stage of any circuit", known)
        if not unknown:
            read = f"no circuit has all of {listed(wanted)}"
            here.add(key, "unknown-name", read, "stages of one circuit type, or 'circuits'", at=key)
    return found


def _stages(known: Known) -> dict[str, tuple[str, ...]]:
    """The stages of every circuit, by name; none where its type is unknown."""
    types = known.circuit_types
    return {
        name: tuple(stage.name for stage in types[item.type].stages) if item.type in types else ()
        for name, item in known.circuits.items()
    }


def guarded(water: str | tuple[str, ...], *, here: Here) -> tuple[tuple[str, ...], bool]:
    """The valves that a permissive names, and whether it names all water valves."""
    valves = _water(here.known)
    if isinstance(water, str):
        named: Iterable[str] = [name for name, is_water in valves.items() if is_water] if water else []
        return tuple(named), water == "all water"
    return tuple(dict.fromkeys(valve for name in water for valve in _meant(name, valves))), False


def tested(named: tuple[str, ...], *, here: Here) -> tuple[str, ...]:
    """The valves of a test, in their order."""
    valves = _water(here.known)
    return tuple(dict.fromkeys(valve for name in named for valve in _meant(name, valves)))


def _water(known: Known) -> dict[str, bool]:
    """Of every `circuit.valve` whether it lets water in."""
    types = known.circuit_types
    wet = [supply.name for supply in known.supplies.values() if supply.fluid == "water"]
    return {
        f"{name}.{valve.name}": valve.supply in wet
        for name, circuit in known.circuits.items()
        if circuit.type in types
        for valve in types[circuit.type].valves.values()
    }


def _meant(name: str, valves: Mapping[str, bool]) -> list[str]:
    """The valves that a name means: itself, or that valve of every circuit; an unknown one stays as it is."""
    if name in valves or parts(name)[0]:
        return [name]
    return [valve for valve in valves if parts(valve)[1] == name] or [name]
