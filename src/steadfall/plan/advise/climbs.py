"""Advice on climbs: what they look at, and whether it can tell them anything.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from steadfall.comparisons import HOLDS
from steadfall.plan.advise.given import Advice, Piece, Sensors, coldest, signed
from steadfall.plan.meaning.conditions import Stated, climbs, controller_conditions, walk
from steadfall.plan.meaning.names import Observed
from steadfall.plan.model import Input, Plan
from steadfall.plan.model.condition import After, And, Compare, Held, Not, Or, OutOfRange, Signal
from steadfall.source import Problem
from steadfall.units import shown


def climb_by_time_alone(plan: Plan) -> Advice:
    """A climb that looks at nothing floods hot metal when a dose valve has failed."""
    seen = set()
    for stated in climbs(plan):
        mark = stated.condition.mark
        if mark not in seen and all(
            isinstance(part, After | And | Or | Held | Not) for part in walk(stated.condition)
        ):
            seen.add(mark)
            read = "this climb looks at the clock only, however hot the circuit is"
            yield Problem(mark, "climb-by-time", "climb", read, "a temperature as well")


@frozen
class _Look:
    """A comparison of a climb, the sensor that it looks at, and what that measures."""

    stated: Stated
    part: Compare
    item: Input
    seen: Observed | None  # None: nothing of the plant stands behind it
    falling: bool  # whether the climb asks for a low value


def _looks(plan: Plan) -> Iterator[_Look]:
    """Every look of every climb at a temperature."""
    sensors = Sensors.of(plan)
    for stated in climbs(plan):
        for part, straight in signed(stated.condition):
            item = sensors.named(part.name, stated) if isinstance(part, Compare) else None
            if isinstance(part, Compare) and item and item.kind == "temperature":
                falling = (part.op in ("<", "<=")) is straight
                yield _Look(stated, part, item, sensors.measured(item), falling)


def climb_says_nothing(plan: Plan) -> Advice:
    """A climb that is true before cooling begins, or that cooling can never bring about."""
    sensors, floor = Sensors.of(plan), coldest(plan)
    for look in _looks(plan):
        start, value = sensors.starts(look.seen), look.part.value
        if not look.falling or start is None:
            continue
        name = look.part.name
        if start < value:
            read = f"'{name}' starts at {shown(start, 'temperature')}, so this holds from the beginning"
            yield Problem(look.part.mark, "climb-from-start", "climb", read, "a value below the start")
        elif value <= floor:
            read = f"nothing in the plan is colder than {shown(floor, 'temperature')}, so this never holds"
            yield Problem(look.part.mark, "climb-never", "climb", read, "a value above that")


def climb_points_up(plan: Plan) -> Advice:
    """A climb that waits for metal to get hotter while it is being cooled."""
    sensors, floor, looks = Sensors.of(plan), coldest(plan), list(_looks(plan))
    falls = {(id(look.stated.condition), look.item.name) for look in looks if look.falling}
    for look in looks:
        alone = (id(look.stated.condition), look.item.name) not in falls
        if not look.falling and alone and look.part.value > floor and sensors.starts(look.seen) is not None:
            read = f"'{look.part.name}' falls while it is cooled, and this asks for a high value"
            yield Problem(look.part.mark, "climb-points-up", "climb", read, "'<', as cooling goes")


def climb_on_lost_sensor(plan: Plan) -> Advice:
    """A sensor that goes on with a value at which a climb takes hot metal for cold."""
    sensors, looks, told = Sensors.of(plan), list(_looks(plan)), set()
    guarded = _watched(plan, sensors)
    for look in looks:
        item, climb = look.item, look.stated.condition
        own = {part.name for part in walk(climb) if isinstance(part, OutOfRange)}
        safe = item.name in guarded or look.part.name in own or item.when_bad != "go on"
        holds = look.falling and HOLDS[look.part.op](item.substitute, look.part.value)
        if holds and not safe and item.name not in told:
            told.add(item.name)
            read = f"'{item.name}' goes on with {shown(item.substitute, item.kind)} while its sensor is bad"
            read += ", and then this holds on hot metal"
            yield Problem(
                look.part.mark, "climb-on-lost-sensor", "climb", read, "a value that holds the climb"
            )


def climb_on_one_sensor(plan: Plan) -> Advice:
    """A sensor that reads low in its range opens a climb on hot metal, where nothing compares it with
    another: one that sticks, has drifted, or has come out of its well is no broken wire.
    """
    sensors = Sensors.of(plan)
    compared, told = _compared(plan, sensors), set()
    for look in _looks(plan):
        item, mark = look.item, look.part.mark
        alone = all(one is item for one, low in _temperatures(look.stated, sensors) if low)
        if not look.falling or not alone or item.name in compared:
            continue
        compared.add(item.name)
        if mark not in told:  # circuits of one type share their climbs
            told.add(mark)
            read = f"'{item.name}' alone opens this: one that sticks or has slipped reads low in its range,"
            read += " and then this holds on hot metal"
            expected = "an alarm that compares it with a second temperature"
            yield Problem(mark, "climb-on-one-sensor", "climb", read, expected)


def done_on_lost_sensor(plan: Plan) -> Advice:
    """A broken wire reads low, and a cool-down that one sensor ends is over on hot metal."""
    sensors = Sensors.of(plan)
    guarded = _watched(plan, sensors)
    for stated in controller_conditions(plan):
        if stated.role != "done":
            continue
        low = {item.name: item for item, falling in _temperatures(stated, sensors) if falling}
        own = {part.name for part in walk(stated.condition) if isinstance(part, OutOfRange)}
        for item in low.values() if len(low) == 1 else ():
            if item.changes is None and item.when_bad == "hold" and item.name not in own | guarded:
                read = f"'{item.name}' alone ends it: its broken wire reads low, and then hot metal is done"
                expected = f"'and not {item.name} out of range'"
                yield Problem(stated.condition.mark, "done-on-lost-sensor", "done", read, expected)


def _temperatures(stated: Stated, sensors: Sensors, straight: bool = True) -> Iterator[tuple[Input, bool]]:
    """The sensors and switches of temperature that a condition looks at, and whether it asks for low."""
    for part, along in signed(stated.condition, straight):
        item = sensors.named(part.name, stated) if isinstance(part, Compare | Signal) else None
        if isinstance(part, Compare) and item and item.kind == "temperature":
            yield item, (part.op in ("<", "<=")) is along
        seen = sensors.measured(item) if isinstance(part, Signal) else None
        if item and item.changes and seen and seen.dimension == "temperature":
            yield item, (item.changes.bound == "below") is along


def _compared(plan: Plan, sensors: Sensors) -> set[str]:
    """The sensors that something sees read low while another reads high."""
    found = set()
    for stated in controller_conditions(plan):
        acts_on = _ACTS_ON.get(stated.role)
        for part, along in signed(stated.condition, acts_on) if acts_on is not None else ():
            if isinstance(part, And | Or):
                seen = list(_temperatures(evolve(stated, condition=part), sensors, along))
                high = {item.name for item, low in seen if not low}
                found |= {item.name for item, low in seen if low and high - {item.name}}
    return found


# What tells a person or ends cooling, and whether it does so where its condition holds.
_ACTS_ON = {"trip": True, "alarm": True, "hold": True, "permissive": False}


def climb_on_lost_switch(plan: Plan) -> Advice:
    """A broken wire reads off, and a climb that waits for a switch to go off takes it for cold metal."""
    sensors, told = Sensors.of(plan), set()
    for stated in climbs(plan):
        for part, straight in signed(stated.condition):
            item = sensors.named(part.name, stated) if isinstance(part, Signal) else None
            if item and item.changes and not straight and item.name not in told:
                told.add(item.name)
                read = f"a broken wire of '{item.name}' reads off, and then this holds on hot metal"
                expected = f"a switch that is on {_OTHER[item.changes.bound]} the value"
                yield Problem(part.mark, "climb-on-lost-switch", "climb", read, expected)


_OTHER = {"above": "below", "below": "above"}


def _watched(plan: Plan, sensors: Sensors) -> set[str]:
    """The sensors whose loss a trip or a permissive sees."""
    found = set()
    for stated in controller_conditions(plan):
        for part in walk(stated.condition) if stated.role in ("trip", "permissive") else ():
            item = sensors.named(part.name, stated) if isinstance(part, OutOfRange) else None
            if item is not None:
                found.add(item.name)
    return found


PIECES: tuple[Piece, ...] = (
    climb_by_time_alone,
    climb_on_lost_sensor,
    climb_on_one_sensor,
    climb_on_lost_switch,
    done_on_lost_sensor,
)
OF_PLANT: tuple[Piece, ...] = (climb_says_nothing, climb_points_up)
