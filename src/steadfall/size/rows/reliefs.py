"""Rows of a relief valve: outlet blocked, the steam that the host makes and the water that still comes in.

Rule of this file: at full lift, and what comes in comes for long. A burst of steam from a wall that has just
been wetted is not in it, nor are inlet and outlet lines: sizing a relief valve is for licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.model import CircuitType, Plan
from steadfall.plan.model.equipment import Relief
from steadfall.plant.grid.host import hosts
from steadfall.plant.grid.path import RELIEF_RISE
from steadfall.plant.law.properties import heat_of_evaporation
from steadfall.plant.law.valve import water_through
from steadfall.quantities import FLOW, PRESSURE, TEMPERATURE
from steadfall.size import iec
from steadfall.size.fluid import steam, water
from steadfall.size.row import ROOM, Check, Row, at_least, said, would_be
from steadfall.size.series import next_kv_for
from steadfall.size.stream import Drawn, own_kv, shared_kv
from steadfall.size.works import Works


def relief_rows(found: Works, kind: CircuitType, relief: Relief, circuits: tuple[str, ...]) -> Iterator[Row]:
    """Every row of a relief valve."""
    lifted = relief.opens_at + RELIEF_RISE * max(relief.opens_at - ATMOSPHERE, 0.0)
    yield _steam(found.plan, kind, relief, circuits, lifted)
    yield from _water(found, kind, relief, lifted)


def _steam(plan: Plan, kind: CircuitType, relief: Relief, circuits: tuple[str, ...], lifted: float) -> Row:
    """The steam that the conductance to the hottest host makes, at its start."""
    boiling = boils_at(lifted)
    starts = {name: _start(plan, plan.circuits[name].host) for name in circuits}
    hottest = max(starts, key=lambda name: starts[name])
    heat = hosts(plan).conductance[hottest] * max(starts[hottest] - boiling, 0.0)
    asked = heat / heat_of_evaporation(boiling)
    given = iec.gas_through(relief.kv, lifted, ATMOSPHERE, steam(lifted))
    boils = " at full lift: water boils there at ", (TEMPERATURE, boiling)
    words = said("outlet blocked, ", (PRESSURE, lifted), *boils)
    if heat > 0.0:
        words = words.also(f", and {hottest}'s host starts at ", (TEMPERATURE, starts[hottest]))
    else:
        words = words.also(", hotter than any host, so that no steam lifts it for long")
    row = at_least(f"{kind.name}.relief", Check.RELIEF, asked, given, FLOW, reason=words, mark=relief.at.own)
    return evolve(row, would=would_be(next_kv_for(relief.kv, ROOM * asked, given)))


def _water(found: Works, kind: CircuitType, relief: Relief, lifted: float) -> Iterator[Row]:
    """All water that comes in against full lift, valves open; nothing where no supply stands above it."""
    inlets = [one.drawn for one in found.inlets_of(kind) if one.drawn.is_water]
    above = [one for one in inlets if _against(one, lifted) > 0.0]
    if not above:
        return
    asked = sum(_against(one, lifted) for one in above)
    hottest = max(one.supply.temperature for one in above)
    liquid = water(hottest)
    given = liquid.density * iec.liquid_through(relief.kv, lifted, ATMOSPHERE, liquid)
    names = ", ".join(dict.fromkeys(one.supply.name for one in above))
    open_ = f" at full lift: {names} above that, all its valves open, as water that does not boil"
    words = said("outlet blocked, ", (PRESSURE, lifted), open_)
    row = at_least(
        f"{kind.name}.relief", Check.RELIEF_WATER, asked, given, FLOW, reason=words, mark=relief.at.own
    )
    yield evolve(row, would=would_be(next_kv_for(relief.kv, ROOM * asked, given)))


def _against(one: Drawn, pressure: float) -> float:
    """kg/s of water from a supply into a circuit at a pressure in Pa, one valve open."""
    lifted = one.supply.pressure - one.lift
    return float(water_through(own_kv(one.valve), lifted, pressure, shared_kv(one.supply)))


def _start(plan: Plan, host: str) -> float:
    return plan.bodies[host].start if host in plan.bodies else plan.gas_streams[host].start
