"""The ramp follower: a set-point that falls, and the percentage of cooling that the distance to it asks for.

    set-point = the greater of `to` and start - fall x time since `when` became true
    demand    = 100 % x (measured - set-point) / band, kept within 0 and 100 %

Rule of this file: temperatures are in the unit of the measured input. While `when` is untrue the set-point is
the measured value and the demand is 0. The time comes from one on-delay timer, so that scans add no error.
"""

from __future__ import annotations

import math

from steadfall.logic.build.conditions import Scope, build, in_unit
from steadfall.logic.forms import all_of, choose, ms, real
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
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Input, Plan, Ramp


def ramps(sheet: Sheet, plan: Plan) -> None:
    """Writes every ramp's set-point and demand."""
    for ramp in plan.ramps.values():
        _ramp(sheet, plan, ramp)


def _ramp(sheet: Sheet, plan: Plan, ramp: Ramp) -> None:
    mark, source = ramp.at.own, plan.inputs[ramp.of]
    measured = Read(ramp.of, Type.REAL)
    when = build(ramp.when, sheet, Scope(plan, ramp.name))
    name = sheet.free(f"{ramp.name}.falling")
    # Once it has reached `to` from the sensor's upper end, the set-point falls no further: the timer may stop
    # there.
    fallen = _unit(source, source.high) - _unit(source, ramp.to)
    fall = ramp.fall * _per_kelvin(source) / 1000.0  # per ms
    falling = sheet.put(name, when, mark)
    timer = sheet.helper(f"{ramp.name}.fall_time", Ton(falling, ms(max(0, math.ceil(fallen / fall)))), mark)
    start_name = sheet.free(f"{ramp.name}.start")
    still = all_of((falling, Previous(name, Type.BOOL)))
    start = sheet.put(start_name, choose(still, Previous(start_name, Type.REAL), measured), mark)
    way: Node = Multiply(ToReal(Elapsed(timer.name)), real(fall, f"{ramp.name}.fall_per_ms"))
    lowest = Greatest(Subtract(start, way), real(_unit(source, ramp.to), f"{ramp.name}.to"))
    set_point = sheet.put(f"{ramp.name}.set_point", choose(falling, lowest, measured), mark)
    gain = real(100.0 / (ramp.band * _per_kelvin(source)), f"{ramp.name}.percent_per_degree")
    demand = Limit(real(0.0), Multiply(Subtract(measured, set_point), gain), real(100.0))
    sheet.put(ramp.name, choose(falling, demand, real(0.0)), mark)


def _unit(source: Input, value: float) -> float:
    return in_unit(source, value)


def _per_kelvin(source: Input) -> float:
    """How many degrees of the input's unit a kelvin is."""
    return round(in_unit(source, 1000.0) - in_unit(source, 0.0), 6) / 1000.0
