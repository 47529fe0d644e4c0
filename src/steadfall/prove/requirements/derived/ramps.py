"""The requirements that follow from any plan without being asked, of ramps.

Rule of this file: as in `derived.guards`. Time, beginning, set-point and percentage are worked
out from the plan anew, each from what the controller has of the one before; a power cut ends them all.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from steadfall.logic.build.readings import in_unit, reading
from steadfall.logic.forms import all_of, any_of, choose, different, less, ms, real
from steadfall.logic.nodes import (
    Elapsed,
    Greatest,
    Limit,
    Multiply,
    Node,
    Previous,
    Read,
    Subtract,
    Ton,
    ToReal,
    Type,
)
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.model import Input, Ramp
from steadfall.plan.model.setting import low_level, settings_of
from steadfall.plan.text.lay_out import level
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import Role, of_ramp
from steadfall.roles import ramp as percent
from steadfall.units import written


def ramps_are_followed(watch: Watch) -> None:
    """A ramp's set-point falls as planned, and it asks for as much as the measured value is above it."""
    for ramp in watch.plan.ramps.values():
        label, mark = f"{ramp.name}.follows", ramp.at.own
        falls = watch.forgotten(f"{label}:falls", watch.seen("ramp", ramp.when, label), mark)
        wrong = [*_timed(watch, ramp, falls), *_begun(watch, ramp, falls), *_asked(watch, ramp, falls)]
        said = Said(label, _words(watch, ramp), (mark,), (percent(ramp.name).name, ramp.of))
        watch.require(said, any_of(wrong), all_of((falls, less(real(0.0), _there(ramp, Role.SET_POINT)))))


def _words(watch: Watch, ramp: Ramp) -> str:
    when = aloud(ramp.when, watch.plan, before=SEEN_BEFORE["ramp"])
    return (
        f"While {when}, the set-point of {ramp.name} falls from what {ramp.of} then is, by"
        f" {written(ramp.fall, 'fall_rate', 'K/min')}, down to {level(ramp.to, 'temperature')}, and"
        f" {ramp.name} asks for as many percent as {ramp.of} is above it,"
        f" {written(ramp.band, 'temperature_difference', 'K')} being 100 %; else for nothing."
    )


def _timed(watch: Watch, ramp: Ramp, falls: Read) -> Iterator[Node]:
    """For how long it falls: until it would have come from the upper end of the sensor to its own end."""
    source = watch.plan.inputs[ramp.of]
    most = in_unit(source, source.high) - in_unit(source, low_level(ramp.to))
    longest = ms(max(0, math.ceil(most / _rate(source, ramp))))
    own = watch.forgotten(f"{ramp.name}.follows:time", Ton(falls, longest), ramp.at.own)
    yield different(Elapsed(own.name), _fall_time(ramp))


def _begun(watch: Watch, ramp: Ramp, falls: Read) -> Iterator[Node]:
    """It begins with what is measured, and that is kept."""
    start = _there(ramp, Role.RAMP_START)
    still = all_of((falls, Previous(falls.name, Type.BOOL)))
    yield from _apart(choose(still, Previous(start.name, Type.REAL), _measured(watch, ramp)), start)


def _asked(watch: Watch, ramp: Ramp, falls: Read) -> Iterator[Node]:
    """The set-point that follows, and the percentage from there."""
    source, measured = watch.plan.inputs[ramp.of], _measured(watch, ramp)
    start, set_point = _there(ramp, Role.RAMP_START), _there(ramp, Role.SET_POINT)
    way = Multiply(ToReal(_fall_time(ramp)), real(_rate(source, ramp)))
    lowest = real(ramp.to if settings_of(ramp.to) else in_unit(source, ramp.to))
    yield from _apart(choose(falls, Greatest(Subtract(start, way), lowest), measured), set_point)
    gain = real(100.0 / (ramp.band * _per_kelvin(source)))
    part = Limit(real(0.0), Multiply(Subtract(measured, set_point), gain), real(100.0))
    yield from _apart(choose(falls, part, real(0.0)), Read(percent(ramp.name).name, Type.REAL))


def _measured(watch: Watch, ramp: Ramp) -> Read:
    return reading(watch.sheet, watch.plan, ramp.of)


def _there(ramp: Ramp, role: Role) -> Read:
    """A value of the controller's ramp."""
    return Read(of_ramp(role, ramp.name).name, Type.REAL)


def _fall_time(ramp: Ramp) -> Elapsed:
    return Elapsed(of_ramp(Role.FALL_TIME, ramp.name).name)


def _rate(source: Input, ramp: Ramp) -> float:
    """By how much the set-point falls in a ms, in the unit of the input."""
    return ramp.fall * _per_kelvin(source) / 1000.0


def _per_kelvin(source: Input) -> float:
    """How many degrees of the input's unit a kelvin is."""
    return round(in_unit(source, 1000.0) - in_unit(source, 0.0), 6) / 1000.0


def _apart(own: Node, there: Read) -> tuple[Node, Node]:
    """A value that is worked out anew is not that of the controller."""
    return less(own, there), less(there, own)


RAMPS: tuple[Callable[[Watch], None], ...] = (ramps_are_followed,)
