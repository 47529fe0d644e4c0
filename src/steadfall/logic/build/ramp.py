"""The ramp follower: a set-point that falls, and the percentage of cooling that the distance to it asks for.

    set-point = the greater of `to` and start - fall x time since `when` became true
    demand    = 100 % x (measured - set-point) / band, kept within 0 and 100 %

Rule of this file: temperatures are in the unit of the measured input. While `when` is untrue the set-point is
the measured value and the demand is 0. The time comes from one on-delay timer, so that scans add no error.
"""

from __future__ import annotations

import math

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.readings import in_unit, reading
from steadfall.logic.forms import all_of, choose, ms, real
from steadfall.logic.nodes import (
    Elapsed,
    Greatest,
    Limit,
    Multiply,
    Node,
    Previous,
    Subtract,
    Ton,
    ToReal,
    Type,
)
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.model import Input, Plan, Ramp
from steadfall.plan.model.setting import low_level, settings_of
from steadfall.roles import Role, of_ramp
from steadfall.roles import ramp as percent


def ramps(sheet: Sheet, plan: Plan) -> None:
    """Writes every ramp's set-point and demand."""
    for ramp in plan.ramps.values():
        _ramp(sheet, plan, ramp)


def _ramp(sheet: Sheet, plan: Plan, ramp: Ramp) -> None:
    mark, source = ramp.at.own, plan.inputs[ramp.of]
    measured = reading(sheet, plan, ramp.of)
    value = percent(ramp.name)
    scope = Scope(plan, ramp.name, before=SEEN_BEFORE["ramp"], serves=value.identity)
    when = build(ramp.when, sheet, scope)
    wish = sheet.free(of_ramp(Role.FALLING, ramp.name))
    # Once it has reached `to` from the sensor's upper end, the set-point falls no further: the timer may stop
    # there.
    fallen = _unit(source, source.high) - _unit(source, low_level(ramp.to))
    fall = ramp.fall * _per_kelvin(source) / 1000.0  # per ms
    falling = sheet.put(wish, when, mark)
    longest = ms(max(0, math.ceil(fallen / fall)))
    timer = sheet.helper(of_ramp(Role.FALL_TIME, ramp.name), Ton(falling, longest), mark)
    begins = sheet.free(of_ramp(Role.RAMP_START, ramp.name))
    still = all_of((falling, Previous(wish.name, Type.BOOL)))
    start = sheet.put(begins, choose(still, Previous(begins.name, Type.REAL), measured), mark)
    way: Node = Multiply(ToReal(Elapsed(timer.name)), real(fall, f"{ramp.name}.fall_per_ms"))
    to = ramp.to if settings_of(ramp.to) else _unit(source, ramp.to)
    lowest = Greatest(Subtract(start, way), real(to, f"{ramp.name}.to"))
    wish = of_ramp(Role.SET_POINT, ramp.name)
    set_point = sheet.put(wish, choose(falling, lowest, measured), mark)
    gain = real(100.0 / (ramp.band * _per_kelvin(source)), f"{ramp.name}.percent_per_degree")
    demand = Limit(real(0.0), Multiply(Subtract(measured, set_point), gain), real(100.0))
    sheet.put(value, choose(falling, demand, real(0.0)), mark)


def _unit(source: Input, value: float) -> float:
    return in_unit(source, value)


def _per_kelvin(source: Input) -> float:
    """How many degrees of the input's unit a kelvin is."""
    return round(in_unit(source, 1000.0) - in_unit(source, 0.0), 6) / 1000.0
