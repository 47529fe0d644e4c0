"""Rows of a relief valve: outlet blocked, the host's steam, and what water and air still come in.

Rule of this file: at full lift, and what comes in comes for long. A burst of steam from a wall that has just
been wetted is not in it, nor are inlet and outlet lines: sizing a relief valve is for licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.model import CircuitType, Plan
from steadfall.plan.model.equipment import Relief
from steadfall.plant.grid.host import hosts
from steadfall.plant.grid.path import RELIEF_RISE
from steadfall.plant.law.properties import heat_of_evaporation
from steadfall.plant.law.valve import air_through, water_through
from steadfall.quantities import FLOW, PRESSURE, TEMPERATURE
from steadfall.size import iec
from steadfall.size.fluid import air, steam, water
from steadfall.size.row import ROOM, Check, Row, Said, at_least, said, would_be
from steadfall.size.series import next_kv_for
from steadfall.size.stream import Drawn, own_kv, shared_kv
from steadfall.size.works import Works


def relief_rows(found: Works, kind: CircuitType, relief: Relief, circuits: tuple[str, ...]) -> Iterator[Row]:
    """Every row of a relief valve."""
    lifted = relief.opens_at + RELIEF_RISE * max(relief.opens_at - ATMOSPHERE, 0.0)
    yield _steam(found.plan, kind, relief, circuits, lifted)
    above = [one.drawn for one in found.inlets_of(kind) if _against(one.drawn, lifted) > 0.0]
    wet, dry = [one for one in above if one.is_water], [one for one in above if not one.is_water]
    if wet:
        yield _water(kind, relief, wet, lifted)
    if dry:
        hottest = max(_start(found.plan, found.plan.circuits[name].host) for name in circuits)
        yield _air(kind, relief, dry, (lifted, hottest))


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
    return _with_would(row, relief)


def _water(kind: CircuitType, relief: Relief, above: Sequence[Drawn], lifted: float) -> Row:
    """All water that comes in against full lift, valves open."""
    liquid = water(max(one.supply.temperature for one in above))
    given = liquid.density * iec.liquid_through(relief.kv, lifted, ATMOSPHERE, liquid)
    words = _words(above, lifted, "as water that does not boil")
    return _still_in(kind, relief, Check.RELIEF_WATER, (_all_of(above, lifted), given), words)


def _air(kind: CircuitType, relief: Relief, above: Sequence[Drawn], at: tuple[float, float]) -> Row:
    """All air that comes in against full lift, valves open. It leaves as hot as the host."""
    lifted, hot = at
    given = iec.gas_through(relief.kv, lifted, ATMOSPHERE, air(hot))
    words = _words(above, lifted, "it leaves as hot as the host, ").also((TEMPERATURE, hot))
    return _still_in(kind, relief, Check.RELIEF_AIR, (_all_of(above, lifted), given), words)


def _words(above: Sequence[Drawn], lifted: float, how: str) -> Said:
    names = ", ".join(dict.fromkeys(one.supply.name for one in above))
    return said(
        "outlet blocked, ",
        (PRESSURE, lifted),
        f" at full lift: {names} above that, all its valves open, {how}",
    )


def _all_of(above: Sequence[Drawn], pressure: float) -> float:
    return sum(_against(one, pressure) for one in above)


def _still_in(
    kind: CircuitType, relief: Relief, check: Check, asked_given: tuple[float, float], words: Said
) -> Row:
    asked, given = asked_given
    row = at_least(f"{kind.name}.relief", check, asked, given, FLOW, reason=words, mark=relief.at.own)
    return _with_would(row, relief)


def _with_would(row: Row, relief: Relief) -> Row:
    return evolve(row, would=would_be(next_kv_for(relief.kv, ROOM * row.asked, row.given)))


def _against(one: Drawn, pressure: float) -> float:
    """kg/s from a supply into a circuit at a pressure in Pa, one valve open."""
    supply, kv = one.supply, own_kv(one.valve)
    if one.is_water:
        return float(water_through(kv, supply.pressure - one.lift, pressure, shared_kv(supply)))
    return float(air_through(kv, supply.pressure, supply.temperature, pressure, shared_kv(supply)))


def _start(plan: Plan, host: str) -> float:
    return plan.bodies[host].start if host in plan.bodies else plan.gas_streams[host].start
