"""What goes wrong with the plant, its supplies and what the controller is shown.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

from enum import StrEnum

from attrs import frozen


class Sort(StrEnum):
    """What a thing is that something can go wrong with, in the words of a message."""

    INPUT = "an input"
    VALVE = "a valve"
    CIRCUIT = "a circuit"
    STREAM = "a gas stream"
    PUMP = "a pump"
    SUPPLY = "a supply"
    POWER = "the controller's power"


class Wrong(StrEnum):
    """What is the matter with a thing from a moment on; the word is the one that a plan says it with."""

    # Of an input: what the controller is shown.
    SHOWS = "shows"  # a value, whatever the plant does or a person sets
    STICKS = "sticks"  # what it shows at that moment
    DRIFTS_UP = "drifts up"
    DRIFTS_DOWN = "drifts down"
    BOUNCES = "bounces"
    MEASURES = "measured"  # nothing any more
    # Of a valve: where it stands, whatever its command.
    STUCK_OPEN = "stuck open"
    STUCK_SHUT = "stuck shut"
    SLOW = "slow"
    LEAKS = "leaking"
    WORKS = "working"
    # Of a circuit.
    HALF_BLOCKED = "outlet half blocked"
    BLOCKED = "outlet blocked"
    CLEAR = "outlet clear"
    SCALED = "scaled"
    # Of a gas stream.
    FAN_STOPPED = "fan stopped"
    FAN_RUNS = "fan running"
    # Of a pump, whatever its command.
    PUMP_STOPPED = "pump stopped"
    PUMP_RUNS = "pump running"
    # Of a supply: another number.
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    # Of the power.
    POWER_LOST = "lost"
    POWER_BACK = "back"

    @property
    def sort(self) -> Sort:
        """Of what it is."""
        return _SORTS[self]


_SORTS = {
    **dict.fromkeys((Wrong.SHOWS, Wrong.STICKS, Wrong.DRIFTS_UP, Wrong.DRIFTS_DOWN), Sort.INPUT),
    **dict.fromkeys((Wrong.BOUNCES, Wrong.MEASURES), Sort.INPUT),
    **dict.fromkeys((Wrong.STUCK_OPEN, Wrong.STUCK_SHUT, Wrong.SLOW, Wrong.LEAKS), Sort.VALVE),
    Wrong.WORKS: Sort.VALVE,
    **dict.fromkeys((Wrong.HALF_BLOCKED, Wrong.BLOCKED, Wrong.CLEAR, Wrong.SCALED), Sort.CIRCUIT),
    **dict.fromkeys((Wrong.FAN_STOPPED, Wrong.FAN_RUNS), Sort.STREAM),
    **dict.fromkeys((Wrong.PUMP_STOPPED, Wrong.PUMP_RUNS), Sort.PUMP),
    **dict.fromkeys((Wrong.PRESSURE, Wrong.TEMPERATURE), Sort.SUPPLY),
    **dict.fromkeys((Wrong.POWER_LOST, Wrong.POWER_BACK), Sort.POWER),
}

WITH_VALUE = Wrong.SHOWS, Wrong.PRESSURE, Wrong.TEMPERATURE  # that are told by a number; the others by a word
POWER = "power"  # what a plan calls it


@frozen
class Upset:
    """From a moment on something is wrong with a thing, or right again.

    `of` is an input, a `circuit.valve`, a main valve, a circuit, a gas stream, a pump, a supply, or `POWER`.
    """

    time_ms: int
    of: str
    wrong: Wrong
    value: float | None = None  # SI or percent, of those `WITH_VALUE`
