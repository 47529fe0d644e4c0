"""The supplies at the left: where each comes from, its pump, its instruments, its main valve, what its
valves share.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from steadfall.plan.model import Feeder, MainValve, Plan, Pump, Supply
from steadfall.report.sketch.grid import EDGE, NAMES, SIDE, Scene
from steadfall.report.sketch.instruments import Sensor, Spot
from steadfall.report.sketch.letters import Look, whole, width, wrapped
from steadfall.report.sketch.parts import (
    Area,
    Box,
    Carries,
    Drawn,
    Part,
    Pipe,
    Sign,
    Sort,
    Symbol,
    lines,
    together,
)
from steadfall.report.sketch.pieces import given, limit_switches, stack, valve_part
from steadfall.units import shown

FLAG = 11.0  # half the height of a flag
GAP = 24.0
SHARED = 96.0  # px for what all valves of a supply share
TALL = 72.0  # from supply to supply


@frozen
class Laid:
    """A supply as it is drawn, and where its line ends."""

    drawn: Drawn
    end: float


def flag_width(plan: Plan) -> float:
    """The width of the flags, all the same."""
    return max((width(name, Look.NAME) for name in plan.supplies), default=0.0) + 30


def carried(supply: Supply) -> Carries:
    """What its line carries."""
    return Carries.AIR if supply.fluid == "air" else Carries.WATER


def supply_line(of: Scene, supply: Supply, y: float) -> Laid:
    """A supply from its flag through all that stands before its valves."""
    right = EDGE + flag_width(of.plan)
    numbers = *given("", supply.pressure, "pressure"), *given("", supply.temperature, "temperature")
    facts = ", ".join((supply.fluid, *map(whole, numbers)))
    names = (
        *lines((supply.name,), EDGE + 8, y + 4, Look.NAME),
        *lines(wrapped(facts, right - EDGE - 4, Look.SMALL), EDGE + 2, y + FLAG + 14),
    )
    area = Area(Sort.SUPPLY, Box(EDGE, y - FLAG, right, y + FLAG))
    source = Part(supply.name, supply.at.own.line, f"{supply.name}: {facts}", areas=(area,), names=names)
    drawn, x = [Drawn((source,))], right
    before = _feeders(of.plan, supply)
    pumps = [one for one in before if isinstance(one, Pump)]
    mains = [one for one in before if isinstance(one, MainValve)]
    seen = of.sensors.get((Spot.THING, supply.name), ())
    on_it: list[Feeder | Sensor | Supply] = [*pumps, *seen, *mains, *_resistances(supply)]
    for part in on_it:
        laid = _along(of, supply, part, (x, y))
        drawn.append(laid.drawn)
        x = laid.end
    return Laid(together(drawn), x)


def _feeders(plan: Plan, supply: Supply) -> Sequence[Feeder]:
    """Its pumps and main valves."""
    return [one for one in plan.feeders if one.supply == supply.name]


def _resistances(supply: Supply) -> Sequence[Supply]:
    """The supply itself where it has a Kv or a pipe."""
    return [supply] if supply.kv is not None or supply.line is not None else []


def _along(of: Scene, supply: Supply, part: Feeder | Sensor | Supply, start: tuple[float, float]) -> Laid:
    """One thing on the line, and where the line is behind it."""
    if isinstance(part, MainValve):
        return _main(of, supply, part, start)
    if isinstance(part, Sensor):
        return _instrument(supply, part, start)
    return _pump(supply, part, start) if isinstance(part, Pump) else _shared(part, start)


def _instrument(supply: Supply, sensor: Sensor, start: tuple[float, float]) -> Laid:
    left, y = start
    end = left + 24.0 + 22.0 + 17.0 + NAMES
    pipe = Pipe((start, (end, y)), carried(supply))
    return Laid(Drawn((), (pipe,)) + stack((sensor,), (left + 24.0, y)), end)


def _main(of: Scene, supply: Supply, valve: MainValve, start: tuple[float, float]) -> Laid:
    left, y = start
    found = of.sensors.get((Spot.THING, valve.name), ())
    x = left + (GAP if not found else SIDE + 24.0) + 14
    part = valve_part(valve.name, valve.name, valve, f"main valve of {supply.name}", (x, y))
    end = x + 14 + NAMES + 8
    pipes = Pipe((start, (x - 14, y)), carried(supply)), Pipe(((x + 14, y), (end, y)), carried(supply))
    return Laid(Drawn((part,), pipes) + limit_switches(found, (x, y)), end)


def _pump(supply: Supply, pump: Pump, start: tuple[float, float]) -> Laid:
    left, y = start
    x = left + NAMES / 2 + 4
    sign = Sign.COMPRESSOR if supply.fluid == "air" else Sign.PUMP
    names = lines(wrapped(pump.name, NAMES, Look.NAME), x, y - 17, Look.NAME, "middle", up=True)
    part = Part(
        pump.name, pump.at.own.line, f"{pump.name}: {sign.value} of {supply.name}", (Symbol(sign, x, y),),
        names=names,
    )  # fmt: skip
    end = x + NAMES / 2
    pipes = Pipe((start, (x - 12, y)), carried(supply)), Pipe(((x + 12, y), (end, y)), carried(supply))
    return Laid(Drawn((part,), pipes), end)


def _shared(supply: Supply, start: tuple[float, float]) -> Laid:
    """What all its valves share: a resistance, a pipe."""
    left, y = start
    x = left + SHARED / 2
    texts = given("Kv", supply.kv, "kv")
    line: tuple[str, ...] = ()
    if supply.line is not None:
        long, bore = (whole(shown(size, "length", 3)) for size in (supply.line.length, supply.line.bore))
        line = wrapped(f"{long}, {whole(f'bore {bore}')}", SHARED - 8, Look.SMALL)
    names = (
        *lines(texts, x, y - 14, align="middle", up=True),
        *lines(line, x, y + 21, align="middle"),
    )
    mark = supply.at.keys.get("kv") or supply.at.keys.get("line") or supply.at.own
    words = f"{supply.name}: {', '.join((*texts, *line))}"
    part = Part(supply.name, mark.line, words, (Symbol(Sign.RESISTANCE, x, y),), names=names)
    pipes = (
        Pipe((start, (x - 4, y)), carried(supply)),
        Pipe(((x + 4, y), (left + SHARED, y)), carried(supply)),
    )
    return Laid(Drawn((part,), pipes), left + SHARED)


def flag(plan: Plan, supply: Supply, left: float, y: float) -> Laid:
    """A flag from which, or to which, a line goes on elsewhere."""
    right = left + flag_width(plan)
    names = lines((supply.name,), left + 8, y + 4, Look.NAME)
    area = Area(Sort.FLAG, Box(left, y - FLAG, right, y + FLAG))
    words = f"{supply.name}: goes on at the flag of the same name"
    return Laid(Drawn((Part(supply.name, supply.at.own.line, words, areas=(area,), names=names),)), right)
