"""Rows of what lets out: the outlet for steam and for water, the relief valve, the drain.

Rule of this file: steam is saturated and an ideal gas (real steam is denser, more of it passes). What an
outlet must pass is held against the lowest of the pressures that the circuit is to stay below.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from steadfall.constants import ATMOSPHERE, WATER, G
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.model import CircuitType, Plan
from steadfall.plan.model.equipment import Relief, Valve
from steadfall.plant.grid.host import hosts
from steadfall.plant.grid.path import RELIEF_RISE
from steadfall.plant.law.properties import heat_of_evaporation
from steadfall.quantities import CIRCUIT_PRESSURE, FLOW, PRESSURE, TEMPERATURE, clock
from steadfall.size import iec
from steadfall.size.fluid import bore_area, steam, water
from steadfall.size.need import waters
from steadfall.size.row import ROOM, Check, Row, Standing, at_least, would_be
from steadfall.size.series import next_kv, next_kv_for
from steadfall.size.stream import channel_kv
from steadfall.size.works import Works

HEAD = 1.0  # m of water that empties a circuit, where no air drives it: a plan gives no heights (our choice)


@frozen
class Cap:
    """The pressure in Pa that a circuit is to stay below, and what says so."""

    pressure: float
    said: str


def cap(plan: Plan, kind: CircuitType, circuits: tuple[str, ...]) -> Cap:
    """The lowest of rating, relief valve and the plan's own limits."""
    found = [Cap(kind.rated, "its rating")]
    if kind.relief is not None:
        found.append(Cap(kind.relief.opens_at, "its relief valve"))
    mine = {CIRCUIT_PRESSURE.named(name) for name in circuits}
    for limit in plan.limits:
        if limit.of in mine and (limit.measure, limit.bound) == ("value", "at_most"):
            found.append(Cap(limit.value, "a limit of the plan"))
    return min(found, key=lambda one: one.pressure)


def outlet_rows(found: Works, kind: CircuitType, circuits: tuple[str, ...]) -> Iterator[Row]:
    """Every row of what lets out of a circuit type."""
    highest = cap(found.plan, kind, circuits)
    yield from _steam_out(found, kind, circuits, highest)
    yield from _water_out(found, kind, highest)
    if kind.relief is not None:
        yield _relief(found.plan, kind, kind.relief, circuits)
    for valve in kind.valves.values():
        if valve.supply is None and not valve.closes_outlet:
            yield from _emptying(kind, valve)


def _steam_out(found: Works, kind: CircuitType, circuits: tuple[str, ...], highest: Cap) -> Iterator[Row]:
    """The most steam of the batch, what flashes behind the outlet among it."""
    use = max((found.use_of(name) for name in circuits), key=lambda one: one.peak_steam)
    if use.peak_steam <= 0.0 or highest.pressure <= kind.outlet.pressure:
        return
    kv, back = kind.outlet.kv, kind.outlet.pressure
    given = iec.gas_through(kv, highest.pressure, back, steam(highest.pressure))
    words = (
        f"most of the batch, at {clock(use.peak_steam_ms)}, what flashes behind the outlet among it; it "
        f"passes so much at {PRESSURE.text(highest.pressure)} ({highest.said})"
    )
    about, mark = f"{kind.name}.outlet", kind.outlet.at.own
    row = at_least(about, Check.STEAM_OUT, use.peak_steam, given, FLOW, reason=words, mark=mark)
    yield evolve(row, would=would_be(next_kv_for(kv, ROOM * use.peak_steam, given)))


def _water_out(found: Works, kind: CircuitType, highest: Cap) -> Iterator[Row]:
    """The most water that the valves of one stage let in, against channel and outlet at that pressure."""
    plan, flows = found.plan, {one.drawn.valve.name: one.stream.flow for one in found.inlets_of(kind)}
    stages = [(sum(flows[name] for name in waters(plan, kind, stage)), stage.name) for stage in kind.stages]
    asked, stage = max(stages, default=(0.0, ""))
    drop = highest.pressure - kind.outlet.pressure
    if asked <= 0.0 or drop <= 0.0:
        return
    bars = drop * 1e-5
    given = WATER * channel_kv(kind) * bars**0.5
    words = (
        f"full stream in {stage}; channel and outlet together pass so much at "
        f"{PRESSURE.text(highest.pressure)} ({highest.said})"
    )
    about, mark = f"{kind.name}.outlet", kind.outlet.at.own
    row = at_least(about, Check.WATER_OUT, asked, given, FLOW, reason=words, mark=mark)
    channel = bars * (WATER / (ROOM * asked)) ** 2 - (channel_kv(kind) ** -2 - kind.outlet.kv**-2)
    yield evolve(row, would=would_be(next_kv(channel**-0.5))) if channel > 0.0 else row


def _relief(plan: Plan, kind: CircuitType, relief: Relief, circuits: tuple[str, ...]) -> Row:
    """Outlet blocked: the steam that the host's heat makes at full lift, and whether water still comes."""
    lifted = relief.opens_at + RELIEF_RISE * max(relief.opens_at - ATMOSPHERE, 0.0)
    boiling = boils_at(lifted)
    starts = {name: _start(plan, plan.circuits[name].host) for name in circuits}
    hottest = max(starts, key=lambda name: starts[name])
    heat = hosts(plan).conductance[hottest] * max(starts[hottest] - boiling, 0.0)
    asked = heat / heat_of_evaporation(boiling)
    given = iec.gas_through(relief.kv, lifted, ATMOSPHERE, steam(lifted))
    about, mark = f"{kind.name}.relief", relief.at.own
    supplies = [plan.supplies[valve.supply] for valve in kind.valves.values() if valve.supply]
    above = [supply.name for supply in supplies if supply.pressure > lifted]
    at_lift = (
        f"outlet blocked, {PRESSURE.text(lifted)} at full lift: water boils there at "
        f"{TEMPERATURE.text(boiling)}"
    )
    if heat > 0.0:
        words = f"{at_lift}, and {hottest}'s host starts at {TEMPERATURE.text(starts[hottest])}"
    else:
        words = f"{at_lift}, hotter than any host, so that no steam lifts it"
    if above:
        words += f"; {above[0]} stands above it and must be let out too, which is not in these figures"
    row = at_least(about, Check.RELIEF, asked, given, FLOW, reason=words, mark=mark)
    row = evolve(row, standing=Standing.TIGHT) if above and row.standing is Standing.OK else row
    return evolve(row, would=would_be(next_kv_for(relief.kv, ROOM * asked, given)))


def _start(plan: Plan, host: str) -> float:
    return plan.bodies[host].start if host in plan.bodies else plan.gas_streams[host].start


def _emptying(kind: CircuitType, drain: Valve) -> Iterator[Row]:
    """What stands in the channel must run out in the time that the finish keeps the drain open."""
    times = [step.for_ms for step in kind.finish if drain.name in step.actions]
    if not times:
        return
    path = kind.path
    liters = path.passes * bore_area(path.bore) * path.length * 1000
    asked = liters / (sum(times) / 1000)
    given = 1000 * iec.liquid_through(
        drain.kv + kind.outlet.kv, ATMOSPHERE + WATER * G * HEAD, ATMOSPHERE, water(300.0)
    )
    words = (
        f"{liters:.2g} l in {sum(times) / 1000:g} s, through drain and outlet under {HEAD:g} m of water, "
        "which is assumed: a plan gives no heights"
    )
    about = f"{kind.name}.{drain.name}"
    yield at_least(about, Check.EMPTYING, asked, given, FLOW, reason=words, mark=drain.at.own)
