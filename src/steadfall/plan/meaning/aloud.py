"""Conditions in words, to be read aloud: `mist and not sweep` is "upper.mist is open and upper.sweep is
shut".

Rule of this file: for people only; what a program reads again is written by `plan.text.speak`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Set
from typing import Any

from attrs import frozen

from steadfall.comparisons import NEGATION
from steadfall.plan.meaning.names import resolve, signals, timers
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import (
    After,
    Always,
    And,
    Compare,
    Condition,
    Goes,
    Held,
    InStage,
    Not,
    Or,
    OutOfRange,
    Passed,
    Signal,
)
from steadfall.plan.text.lay_out import level, time
from steadfall.plan.text.speak import back
from steadfall.roles import Role

_MADE: Mapping[Role, tuple[str, str]] = {
    Role.PERMITTED: ("every permissive holds", "a permissive does not hold"),
    Role.DONE: ("the cool-down is done", "the cool-down is not done"),
    Role.IN_HAND: ("valves are in hand", "no valve is in hand"),
    Role.IN_TEST: ("valves are tested", "no valve is tested"),
    Role.ON_HOLD: ("the sequence is on hold", "the sequence is not on hold"),
    Role.RUNNING: ("cooling runs", "no cooling runs"),
    Role.ALARM: ("an alarm stands", "no alarm stands"),
    Role.UNACKNOWLEDGED: ("an alarm is not acknowledged", "no alarm asks for acknowledgement"),
    Role.TRIPPED: ("something has tripped", "nothing has tripped"),
}
_TITLED: Mapping[Role, tuple[str, str]] = {  # of a trip or alarm by its title
    Role.TRIP: ("the trip '{}' is latched", "the trip '{}' is not latched"),
    Role.ALARM: ("the alarm '{}' stands", "the alarm '{}' does not stand"),
    Role.UNACKNOWLEDGED: ("the alarm '{}' is not acknowledged", "the alarm '{}' asks for no acknowledgement"),
    Role.DUE: ("'{}' is due", "'{}' is not due"),
    Role.FIRST_OUT: ("the alarm '{}' is the first out", "the alarm '{}' is not the first out"),
}
_OF_VALVE: Mapping[Role, tuple[str, str]] = {
    Role.DISAGREES: (
        "the limit switch of {} disagrees with its command",
        "the limit switch of {} agrees with its command",
    ),
    Role.FAILED_TEST: ("{} has failed its test", "{} has not failed its test"),
}
BEFORE = " in the scan before"
_MEASURES = {"<": "below", "<=": "at most", ">": "above", ">=": "at least"}
_LASTS = {"<": "less than", "<=": "at most", ">": "more than", ">=": "at least"}


@frozen
class _Reader:
    """Knows what the names of a condition stand for."""

    plan: Plan
    circuit: str | None
    before: Set[Role]

    def name(self, name: str) -> str:
        return resolve(name, self.circuit, signals(self.plan)) or name

    def role(self, name: str) -> Role:
        """What a signal is for."""
        known = signals(self.plan).get(self.name(name))
        return known.role if known else Role.INPUT

    def states(self, name: str, what: str, role: Role) -> str:
        """A statement about a signal, with its scan where that is not this one."""
        return f"{name} was {what}{BEFORE}" if role in self.before else f"{name} is {what}"


def aloud(
    condition: Condition, plan: Plan, circuit: str | None = None, *, before: Set[Role] = frozenset()
) -> str:
    """The words of a condition; in a circuit type, for one circuit. `before`: seen as the scan before left
    it.
    """
    return _say(condition, _Reader(plan, circuit, before), True)


def together(words: Iterable[str]) -> str:
    """Words as a person would list them: `a, b and c`."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _say(condition: Condition, reader: _Reader, so: bool) -> str:
    """A condition, or, where it is not so, its opposite."""
    return _WORDS[type(condition)](condition, reader, so)


def _signal(item: Signal, reader: _Reader, so: bool) -> str:
    name, role = reader.name(item.name), reader.role(item.name)
    title = signals(reader.plan)[name].identity.of if role in _TITLED else ""
    if title:
        return _TITLED[role][not so].format(title) + (BEFORE if role in reader.before else "")
    if role in _MADE:
        return _MADE[role][not so] + (BEFORE if role in reader.before else "")
    if role is Role.READY:
        of, over = signals(reader.plan)[name].identity.of, "over" if so else "not over"
        return f"the lead of {of} is {over}{BEFORE if role in reader.before else ''}"
    if role in _OF_VALVE:
        valve = signals(reader.plan)[name].identity.owner
        return _OF_VALVE[role][not so].format(valve) + (BEFORE if role in reader.before else "")
    if role in (Role.COMMAND, Role.MAIN):
        return reader.states(name, "open" if so else "shut", role)
    return f"{name} is {'on' if so else 'off'}"


def _compare(item: Compare, reader: _Reader, so: bool) -> str:
    op = item.op if so else NEGATION[item.op]
    what = f"{_MEASURES[op]} {level(item.value, item.dimension)}{back(item)}"
    return reader.states(reader.name(item.name), what, reader.role(item.name))


def _goes(item: Goes, reader: _Reader, so: bool) -> str:
    name = reader.name(item.name)
    way = "on" if item.on else "off"
    if reader.role(item.name) in reader.before:
        return f"{name} {'went' if so else 'did not go'} {way}{BEFORE}"
    return f"{name} {'goes' if so else 'does not go'} {way}"


def _passed(item: Passed, reader: _Reader, so: bool) -> str:
    time_of = timers(reader.plan)[item.name].identity
    what = time_of.owner
    how_long = f"for {_LASTS[item.op if so else NEGATION[item.op]]} {time(item.ms)}"
    return (
        f"{what} has been in its stage {how_long}"
        if time_of.role is Role.STAGE_TIME
        else f"{what} has been as it is {how_long}"
    )


def _joined(item: And | Or, reader: _Reader, so: bool) -> str:
    """`not (a and b)` is read as `not a or not b`."""
    word = "and" if isinstance(item, And) == so else "or"
    return f" {word} ".join(_part(part, reader, so) for part in item.parts)


def _part(part: Condition, reader: _Reader, so: bool) -> str:
    words = _say(part, reader, so)
    return f"({words})" if isinstance(part, And | Or | Held) else words


def _held(item: Held, reader: _Reader, so: bool) -> str:
    inner = _say(item.part, reader, True)
    many = isinstance(item.part, And | Or | Held) or inner.endswith(BEFORE)
    words = f"{inner}{',' if many else ''} for {time(item.ms)}"
    return words if so else f"it is not so that {words}"


def _is(words: str, so: bool) -> str:
    return f"{'is' if so else 'is not'} {words}"


def _state(stage: str) -> str:
    return stage if stage in ("idle", "finishing") else f"in {stage}"


_WORDS: Mapping[type, Callable[[Any, _Reader, bool], str]] = {
    Always: lambda item, _, so: "true is true" if item.value == so else "true is false",
    Signal: _signal,
    Compare: _compare,
    Goes: _goes,
    OutOfRange: lambda item, reader, so: f"{reader.name(item.name)} {_is('out of range', so)}",
    InStage: lambda item, reader, so: reader.states(
        item.circuit, f"{'' if so else 'not '}{_state(item.stage)}", Role.STAGE
    ),
    Not: lambda item, reader, so: _say(item.part, reader, not so),
    And: _joined,
    Or: _joined,
    Held: _held,
    Passed: _passed,
    After: lambda item, _, so: f"{time(item.ms)} have {'' if so else 'not '}passed in the stage",
}
