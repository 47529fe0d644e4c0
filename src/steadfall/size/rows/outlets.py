"""Rows of what lets out: the outlet for steam and for water, the relief valve, the drain.

Rule of this file: steam is saturated and an ideal gas (real steam is denser, more of it passes). What an
outlet must pass is held against the lowest of the pressures that the circuit is to stay below.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from steadfall.constants import ATMOSPHERE, WATER, G
from steadfall.plan.model import CircuitType, Plan
from steadfall.plan.model.equipment import Valve
from steadfall.plan.model.sequence import FinishStep
from steadfall.quantities import CIRCUIT_PRESSURE, FLOW, HEIGHT, PRESSURE, VOLUME, clock
from steadfall.size import iec
from steadfall.size.fluid import bore_area, steam, water
from steadfall.size.need import waters
from steadfall.size.row import ROOM, Check, Row, at_least, said, would_be
from steadfall.size.rows.openings import life
from steadfall.size.rows.reliefs import relief_rows
from steadfall.size.series import next_kv
from steadfall.size.shared import narrowest, outlet_parts, widened
from steadfall.size.stream import channel_kv
from steadfall.size.works import Works

EMPTIED = (  # through what, by the least share of the time that no valve shuts the outlet
    (1.0, "drain and outlet"),
    (1e-9, "the drain and, while no valve shuts it, the outlet,"),
    (0.0, "the drain alone, as the outlet is shut then,"),
)
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
        yield from relief_rows(found, kind, kind.relief, circuits)
    for valve in kind.valves.values():
        if valve.supply is None:
            yield from _emptying(kind, valve) if not valve.closes_outlet else ()
            yield from life(found, kind, valve, circuits)


def _steam_out(found: Works, kind: CircuitType, circuits: tuple[str, ...], highest: Cap) -> Iterator[Row]:
    """The most steam of the batch, what flashes behind the outlet among it."""
    use = max((found.use_of(name) for name in circuits), key=lambda one: one.peak_steam)
    if use.peak_steam <= 0.0 or highest.pressure <= kind.outlet.pressure:
        return
    kv, back = kind.outlet.kv, kind.outlet.pressure
    given = iec.gas_through(kv, highest.pressure, back, steam(highest.pressure))
    most = f"most of the batch, at {clock(use.peak_steam_ms)}, what flashes behind the outlet among it; it "
    words = said(f"{most}passes so much at ", (PRESSURE, highest.pressure), f" ({highest.said})")
    about, mark = f"{kind.name}.outlet", kind.outlet.at.own
    row = at_least(about, Check.STEAM_OUT, use.peak_steam, given, FLOW, reason=words, mark=mark)
    yield _with_would(found, kind, row, kv * ROOM * use.peak_steam / given if given > 0.0 else 0.0)


def _water_out(found: Works, kind: CircuitType, highest: Cap) -> Iterator[Row]:
    """The most water that the valves of one stage let in, against channel and outlet at that pressure."""
    plan, flows = found.plan, {one.drawn.valve.name: one.stream.flow for one in found.inlets_of(kind)}
    stages = {
        stage.name: sum(flows[name] for name in waters(plan, kind, stage)) for stage in reversed(kind.stages)
    }
    stage = max(stages, key=lambda name: stages[name])
    asked = stages[stage]
    drop = highest.pressure - kind.outlet.pressure
    if asked <= 0.0 or drop <= 0.0:
        return
    bars = drop * 1e-5
    given = WATER * channel_kv(kind) * bars**0.5
    full = f"full stream in {stage}; channel and outlet together pass so much at "
    words = said(full, (PRESSURE, highest.pressure), f" ({highest.said})")
    about, mark = f"{kind.name}.outlet", kind.outlet.at.own
    row = at_least(about, Check.WATER_OUT, asked, given, FLOW, reason=words, mark=mark)
    channel = bars * (WATER / (ROOM * asked)) ** 2 - (channel_kv(kind) ** -2 - kind.outlet.kv**-2)
    yield _with_would(found, kind, row, channel**-0.5 if channel > 0.0 else 0.0)


def _with_would(found: Works, kind: CircuitType, row: Row, least: float) -> Row:
    """The row with what would do where outlet and valves in it must come to so much."""
    several = outlet_parts(found.given.circuit_types[kind.name])
    needed = widened(several, least)
    why = row.reason.also(f"; narrowest is {narrowest(several).name}") if len(several) > 1 else row.reason
    return evolve(row, reason=why, would=None if needed is None else would_be(next_kv(needed)))


def _emptying(kind: CircuitType, drain: Valve) -> Iterator[Row]:
    """What stands in the channel must run out in the time that the finish keeps the drain open; the outlet
    helps in those steps in which no valve shuts it.
    """
    steps = [step for step in kind.finish if drain.name in step.actions]
    if not steps:
        return
    path, seconds = kind.path, sum(step.for_ms for step in steps) / 1000
    liters = path.passes * bore_area(path.bore) * path.length * 1000
    asked = liters / seconds
    helped = sum(step.for_ms for step in steps if _outlet_open(kind, step)) / 1000 / seconds
    each = 1000 * iec.liquid_through(1.0, ATMOSPHERE + WATER * G * HEAD, ATMOSPHERE, water(300.0))
    through = next(words for share, words in EMPTIED if helped >= share)
    words = said(
        *((VOLUME, liters / 1000), f" in {seconds:g} s, through {through} under "),
        *((HEIGHT, HEAD), " of water, which is assumed: a plan gives no heights"),
    )
    about, given = f"{kind.name}.{drain.name}", each * (drain.kv + helped * kind.outlet.kv)
    row = at_least(about, Check.EMPTYING, asked, given, FLOW, reason=words, mark=drain.at.own)
    yield evolve(row, would=would_be(next_kv(ROOM * asked / each - helped * kind.outlet.kv)))


def _outlet_open(kind: CircuitType, step: FinishStep) -> bool:
    """Whether every valve in the outlet is open in a step of the finish."""
    return all(name in step.actions for name, valve in kind.valves.items() if valve.closes_outlet)
