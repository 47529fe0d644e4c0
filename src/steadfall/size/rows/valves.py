"""Rows of a valve: its Kv and what the goals ask, cavitation, the air that carries water along.

Rule of this file: one function a check; a check that does not apply gives nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import evolve

from steadfall.constants import WATER, G
from steadfall.plant.law.properties import C_L
from steadfall.quantities import DROP, FLOW, HEAT, KV, OF_EACH, PRESSURE, SPEED, TEMPERATURE
from steadfall.size import iec
from steadfall.size.fluid import air, bore_area, density_of, water
from steadfall.size.need import Need, duty, last_wet, need, waters
from steadfall.size.row import ROOM, Check, Row, Standing, at_least, at_most, said, would_be
from steadfall.size.rows.openings import opening_rows
from steadfall.size.series import next_kv, next_kv_for
from steadfall.size.works import Inlet, Works

AGREES = 0.02  # within which a Kv is the one that is asked: a prediction takes all water for cold


def valve_rows(found: Works, one: Inlet) -> Iterator[Row]:
    """Every row of a valve that lets something in."""
    yield from _flow(found, one)
    yield _kv(one)
    yield from _cavitation(one) if one.drawn.is_water else _sweep(one)
    yield from opening_rows(found, one)


def _flow(found: Works, one: Inlet) -> Iterator[Row]:
    """The water that the goals ask, of each valve that is open in the last stage with water."""
    kind, plan = one.drawn.kind, found.plan
    last = last_wet(plan, kind)
    asks = [met for name in one.circuits if (met := need(plan, name)) is not None]
    if last is None or not asks or one.drawn.valve.name not in waters(plan, kind, last):
        return
    most = max(asks, key=lambda one: one.heat)
    cold, open_for = one.drawn.supply.temperature, duty(last.actions[one.drawn.valve.name])
    given = one.stream.flow * open_for
    goal = most.goal
    if goal.value <= cold:
        words = f"the goal ({goal.text}) is no warmer than this water, which so can never bring it there"
        mark = one.drawn.valve.at.own
        yield Row(one.about, Check.FLOW, math.inf, given, FLOW, Standing.SHORT, words, mark)
        return
    carried = _carried(found, one, most)
    asked = most.water(cold) * (given * (goal.value - cold) / carried if carried > 0.0 else 1.0)
    why = said(
        *(f"open {100 * open_for:.0f} % of the time in {last.name}; ", (HEAT, most.heat)),
        *(f" to be taken away on average ({goal.text}), by ", (OF_EACH, C_L * (goal.value - cold))),
    )
    row = at_least(one.about, Check.FLOW, asked, given, FLOW, reason=why, mark=one.drawn.valve.at.own)
    yield evolve(row, would=would_be(next_kv_for(one.drawn.valve.kv, ROOM * asked, given)))


def _carried(found: Works, one: Inlet, asked: Need) -> float:
    """kg/s times K of all water valves that the last stage opens, so that each answers for its share."""
    kind, plan = one.drawn.kind, found.plan
    last = last_wet(plan, kind)
    total = 0.0
    for other in found.inlets_of(kind):
        name = other.drawn.valve.name
        if last is not None and name in waters(plan, kind, last):
            rise = max(asked.goal.value - other.drawn.supply.temperature, 0.0)
            total += other.stream.flow * duty(last.actions[name]) * rise
    return total


def _kv(one: Inlet) -> Row:
    """The Kv that the prediction's own flow asks for by the standard."""
    stream, valve = one.stream, one.drawn.valve
    asked = _asked(one)
    drop = " from ", (PRESSURE, stream.before), " to ", (PRESSURE, stream.after)
    chokes = ", choked," if asked.choked else ""
    words = said((FLOW, stream.flow), *drop, f"{chokes} asks for this Kv by IEC 60534-2-1")
    row = at_least(one.about, Check.KV, asked.kv, valve.kv, KV, reason=words, mark=valve.at.of("kv"))
    row = evolve(row, standing=Standing.OK)
    if valve.kv < asked.kv * (1.0 - AGREES):
        more = 100 * (asked.kv / valve.kv - 1)
        over = f"; a prediction lets so much through, {more:.0f} % more than the plan's Kv"
        words = words.also(over) if math.isfinite(more) else words
        row = evolve(row, standing=Standing.TIGHT, reason=words)
    return evolve(row, would=would_be(next_kv(asked.kv * (1.0 - AGREES))))


def _asked(one: Inlet) -> iec.Asked:
    stream, temperature = one.stream, one.drawn.supply.temperature
    if one.drawn.is_water:
        liquid = water(temperature)
        return iec.for_liquid(stream.flow / liquid.density, stream.before, stream.after, liquid)
    return iec.for_gas(stream.flow, stream.before, stream.after, air(temperature))


def _cavitation(one: Inlet) -> Iterator[Row]:
    """The drop that chokes water, against the drop there is; flashing where it leaves as steam."""
    stream, liquid = one.stream, water(one.drawn.supply.temperature)
    drop = stream.before - stream.after
    if drop < iec.LEAST_DROP:
        return
    choking = iec.choking_drop(stream.before, liquid)
    sigma = iec.cavitation_number(stream.before, stream.after, liquid)
    chokes = "water of ", (TEMPERATURE, one.drawn.supply.temperature), " chokes from ", (DROP, choking)
    below = " on below ", (PRESSURE, stream.before)
    words = said(*chokes, *below, f" (F_L {iec.GLOBE.recovery:g}), sigma {sigma:.2f}")
    row = at_most(one.about, Check.CAVITATION, choking, drop, DROP, reason=words, mark=one.drawn.valve.at.own)
    if stream.after <= liquid.vapour or choking <= 0.0:
        yield evolve(
            row, standing=Standing.SHORT, reason=words.also("; it flashes: it leaves as steam and water")
        )
    elif row.standing is Standing.SHORT:
        more = "; it chokes: more drop gives no more flow, but noise and wear"
        yield evolve(row, standing=Standing.TIGHT, reason=words.also(more))
    else:
        yield row


def _sweep(one: Inlet) -> Iterator[Row]:
    """Air that shall carry water along: its speed against that at which a film is no longer held back.

    Wallis: j_g sqrt(rho_g/(g d (rho_l - rho_g))) = 1 (One-dimensional Two-phase Flow, 1969; from memory).
    """
    path, stream = one.drawn.kind.path, one.stream
    if stream.flow <= 0.0:
        return
    density = density_of(air(one.drawn.supply.temperature), stream.after)
    given = stream.flow / density / (path.passes * bore_area(path.bore))
    asked = math.sqrt(G * path.bore * max(WATER - density, 0.0) / density)
    slower = " behind the valve; slower air lets water run back in an upright bore (Wallis)"
    words = said("cold, at ", (PRESSURE, stream.after), slower)
    row = at_least(one.about, Check.SWEEP, asked, given, SPEED, reason=words, mark=one.drawn.valve.at.own)
    yield evolve(row, would=would_be(next_kv_for(one.drawn.valve.kv, ROOM * asked, given)))
