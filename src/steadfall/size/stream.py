"""What flows when valves stand open and nothing boils: from a supply through line, valve, channel and outlet.

Rule of this file: the same laws as in a prediction (`plant.law`), in the steady state, with cold water or
air at the supply's temperature all the way. Boiling holds water back, so that this is the most that flows.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache

from attrs import frozen

from steadfall.plan.model import CircuitType, Plan, Supply, Valve
from steadfall.plant.grid.lines import line_resistance, shared_resistance, static_head
from steadfall.plant.grid.path import pipe_heads
from steadfall.plant.law.discharge import choke_table, mass_flux
from steadfall.plant.law.valve import COLD_WATER, UNSHARED, air_through, velocity_heads, water_through
from steadfall.plant.state import Reals
from steadfall.size.fluid import air, bore_area, density_of

TRIALS, WITHIN = 100, 1e-9  # of the flow, and of the pressure
EXIT = 1.0  # velocity head, as of a path (plant.grid.path)
Flow = Callable[[float], float]


@frozen
class Stream:
    """A valve's flow in kg/s, and the pressures in Pa before the valve and behind it."""

    flow: float
    before: float
    after: float


@frozen
class Drawn:
    """A valve with its supply and the circuit that it opens into."""

    kind: CircuitType
    valve: Valve
    supply: Supply
    lift: float  # Pa that water loses on its way up

    @property
    def key(self) -> tuple[str, str]:
        """Whose it is: equal valves of equal circuits let in the same."""
        return self.kind.name, self.valve.name

    @property
    def is_water(self) -> bool:
        """Whether it lets in water, not air."""
        return self.supply.fluid == "water"


def drawn(plan: Plan, kind: CircuitType, valve: Valve) -> Drawn:
    """A valve that has a supply."""
    supply = plan.supplies[valve.supply or ""]
    return Drawn(kind, valve, supply, static_head(supply, valve))


def channel_kv(kind: CircuitType) -> float:
    """The Kv of channel and outlet together, m3/s at 1 bar."""
    area = kind.path.passes * bore_area(kind.path.bore)
    channel = (pipe_heads(kind.path) + EXIT) / velocity_heads(1.0, area)
    return float((channel + kind.outlet.kv**-2) ** -0.5)


def own_kv(valve: Valve) -> float:
    """The Kv of a valve with its own line, m3/s at 1 bar."""
    return float((valve.kv**-2 + line_resistance(valve.line)) ** -0.5)


def shared_kv(supply: Supply) -> float:
    """The Kv of what all valves of a supply share; without bound where there is nothing."""
    shared = shared_resistance(supply)
    return UNSHARED if shared == 0.0 else 1.0 / math.sqrt(shared)


def into_circuit(one: Drawn, at: float) -> float:
    """kg/s from a pressure at which lines branch off, through a valve's own line, the valve and its
    circuit.
    """
    back = one.kind.outlet.pressure
    if one.is_water:
        kv = (own_kv(one.valve) ** -2 + channel_kv(one.kind) ** -2) ** -0.5
        return float(water_through(kv, at - one.lift, back))
    flow, _ = air_into(one, at)
    return flow


def air_into(one: Drawn, at: float) -> tuple[float, float]:
    """kg/s of air, and the pressure in Pa behind the valve at which the circuit passes as much."""
    area = one.kind.path.passes * bore_area(one.kind.path.bore)
    heads = pipe_heads(one.kind.path) + EXIT + velocity_heads(one.kind.outlet.kv, area)
    gas, back, kv = air(one.supply.temperature), one.kind.outlet.pressure, own_kv(one.valve)

    def passes(p: float) -> float:
        return area * mass_flux(p, back, density_of(gas, p), 1.0, heads, _choke())[0]

    def comes(p: float) -> float:
        return float(air_through(kv, at, gas.temperature, p))

    after = _meeting(comes, passes, back, at)
    return comes(after), after


def together(supply: Supply, others: Sequence[Drawn]) -> tuple[float, tuple[float, ...]]:
    """The pressure where lines branch off when all these stand open, and each one's flow in kg/s."""
    number = Counter(one.key for one in others)
    of_each = {one.key: one for one in others}
    shared, at = shared_kv(supply), supply.pressure

    def comes(p: float) -> float:
        if supply.fluid == "water":
            return float(water_through(shared, supply.pressure, p))
        return float(air_through(shared, supply.pressure, supply.temperature, p))

    def passes(p: float) -> float:
        return sum(count * into_circuit(of_each[key], p) for key, count in number.items())

    if shared != UNSHARED and others:
        lowest = min(one.kind.outlet.pressure for one in others)
        at = _meeting(comes, passes, min(lowest, supply.pressure), supply.pressure)
    flows = {key: into_circuit(one, at) for key, one in of_each.items()}
    return at, tuple(flows[one.key] for one in others)


def alone(one: Drawn) -> Stream:
    """A valve alone, fully open."""
    at, (flow,) = together(one.supply, (one,))
    if not one.is_water:
        return _air_stream(one, at, flow)
    square = (flow / COLD_WATER) ** 2 * 1e5  # Pa for each 1/Kv^2
    before = at - one.lift - square * line_resistance(one.valve.line)
    return Stream(flow, before, before - square / one.valve.kv**2)


def _air_stream(one: Drawn, at: float, flow: float) -> Stream:
    """Before its valve air has lost what its own line takes."""
    _, after = air_into(one, at)
    line = line_resistance(one.valve.line)
    if line == 0.0:
        return Stream(flow, at, after)
    kv, t = line**-0.5, one.supply.temperature
    before = _meeting(lambda p: float(air_through(kv, at, t, p)), lambda _: flow, after, at)
    return Stream(flow, before, after)


def _meeting(falls: Flow, grows: Flow, low: float, high: float) -> float:
    """The pressure between two at which what comes, less as it rises, is what passes on (Illinois rule)."""
    low_f, high_f = falls(low) - grows(low), falls(high) - grows(high)
    if low_f <= 0.0 or high_f >= 0.0:
        return low if low_f <= 0.0 else high
    scale, side, at = low_f - high_f, 0, low
    for _ in range(TRIALS):
        at = (low * high_f - high * low_f) / (high_f - low_f)
        miss = falls(at) - grows(at)
        if abs(miss) <= WITHIN * scale or high - low <= WITHIN * high:
            break
        if miss > 0.0:
            low, low_f = at, miss
            high_f *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            high, high_f = at, miss
            low_f *= 0.5 if side == -1 else 1.0
            side = -1
    return at


@cache
def _choke() -> Reals:
    return choke_table()
