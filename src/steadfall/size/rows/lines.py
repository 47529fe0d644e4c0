"""Rows of a line: how fast it runs, and what closing a valve on it does.

Rule of this file: a valve's own line carries what the valve lets in alone; a supply's line what all circuits
draw together.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import evolve

from steadfall.plan.model import Line, Plan, Supply
from steadfall.plant.damage.hammer import close
from steadfall.quantities import DROP, FLOW, PRESSURE, SPEED
from steadfall.size.fluid import air, bore_area, density_of, water
from steadfall.size.row import ROOM, Check, Row, Would, at_most, said
from steadfall.size.series import next_dn
from steadfall.size.works import Inlet
from steadfall.units import shown

# m/s, common practice: water mains and branches 1 .. 3 (noise, wear, hammer), compressed air 6 .. 10 in mains
# and up to 20 in short branches.
FASTEST = {"water": 3.0, "air": 20.0}


def own_line(plan: Plan, one: Inlet) -> Iterator[Row]:
    """The rows of a valve's own line."""
    line, supply = one.drawn.valve.line, one.drawn.supply
    if line is None or one.stream.flow <= 0.0:
        return
    about = f"{one.about}.line"
    yield speed(about, line, supply, one.stream.flow, one.stream.before)
    if one.drawn.is_water:
        yield surge(plan, about, line, supply, (one.stream.flow, one.drawn.valve.travel))


def speed(about: str, line: Line, supply: Supply, flow: float, pressure: float) -> Row:
    """Velocity at the far end of a line, against what common practice allows."""
    t = supply.temperature
    density = water(t).density if supply.fluid == "water" else density_of(air(t), pressure)
    given, allowed = flow / density / bore_area(line.bore), FASTEST[supply.fluid]
    usual = (SPEED, allowed), f" is common practice for {supply.fluid}"
    words = said((FLOW, flow), " at ", (PRESSURE, pressure), "; ", *usual)
    row = at_most(about, Check.SPEED, allowed, given, SPEED, reason=words, mark=line.at.of("bore"))
    least = math.sqrt(4.0 * flow * ROOM / density / (math.pi * allowed))
    return evolve(row, would=Would(dn=next_dn(least)))


def surge(plan: Plan, about: str, line: Line, supply: Supply, closing: tuple[float, float]) -> Row:
    """The pressure when a flow (kg/s) is shut in a time (s), against the line's rating."""
    flow, seconds = closing
    done = close(line, plan.materials[line.material], flow, seconds)
    peak = supply.pressure + done.surge
    words = said(
        *((SPEED, done.velocity), f" stopped in {shown(seconds, 'time')}, the wave is back in "),
        f"{shown(done.wave_time, 'time', 2)}: {'rapid' if done.rapid else 'slow'}, ",
        *((DROP, done.surge), " on top of ", (PRESSURE, supply.pressure)),
    )
    return at_most(about, Check.SURGE, line.rated, peak, PRESSURE, reason=words, mark=line.at.of("rated"))
