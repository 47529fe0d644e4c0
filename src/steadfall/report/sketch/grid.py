"""The columns of a sketch: where valves, path, body and outlet stand, the same for every circuit.

Rule of this file: a column is as wide as the fullest circuit needs, and no wider.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import groupby

from attrs import frozen

from steadfall import roles
from steadfall.plan.model import Circuit, Plan, Supply, Valve
from steadfall.report.sketch.instruments import Sensors, Spot, sensors

EDGE = 14.0  # px round the sheet
ROW = 58.0  # from valve to valve
STEP = 34.0  # from instrument to instrument
NAMES = 96.0  # for the name of an instrument or a valve
SIDE = 122.0  # left of a valve: its limit switch, its line
OUTLET = 64.0  # from the names of a valve to what else lies in the outlet
BODY = 206.0  # width of a body's box


@frozen
class Grid:
    """The x of each column."""

    header: float  # where a supply comes in
    valve: float
    manifold: float  # where the valves of a circuit meet
    body: float
    after: float  # behind the body
    drain: float
    slot: float  # from valve to valve in the outlet
    outlet: float
    end: float


@frozen
class Scene:
    """What all parts of a sketch are drawn from."""

    plan: Plan
    sensors: Sensors

    def at(self, spot: Spot, owner: str) -> tuple[int, ...]:
        """The numbers of the instruments at a place, for counting."""
        return tuple(range(len(self.sensors.get((spot, owner), ()))))


@frozen
class Row:
    """A valve that lets something into a circuit."""

    valve: Valve
    supply: Supply


def scene(plan: Plan) -> Scene:
    """A plan with its sensors in place."""
    return Scene(plan, sensors(plan))


def inlets(plan: Plan, circuit: str) -> tuple[Row, ...]:
    """The valves that let something in, those of one supply together, supplies in the order of the plan."""
    own = plan.type_of(circuit).valves.values()
    order = list(plan.supplies)
    found = [Row(valve, plan.supplies[valve.supply]) for valve in own if valve.supply is not None]
    return tuple(sorted(found, key=lambda row: order.index(row.supply.name)))


def by_supply(rows: tuple[Row, ...]) -> Mapping[str, tuple[int, ...]]:
    """The numbers of the rows that each supply feeds."""
    numbered = enumerate(rows)
    return {
        name: tuple(number for number, _ in group)
        for name, group in groupby(numbered, key=lambda pair: pair[1].supply.name)
    }


def drains(plan: Plan, circuit: str) -> tuple[Valve, ...]:
    """The valves that bypass the outlet."""
    own = plan.type_of(circuit).valves.values()
    return tuple(valve for valve in own if valve.supply is None and not valve.closes_outlet)


def shut_offs(plan: Plan, circuit: str) -> tuple[Valve, ...]:
    """The valves in the outlet."""
    return tuple(valve for valve in plan.type_of(circuit).valves.values() if valve.closes_outlet)


def command(circuit: str, valve: Valve) -> str:
    """The name of a valve in the plan."""
    return roles.command(circuit, valve.name).name


def grid(of: Scene, header: float) -> Grid:
    """The columns, from where the supplies come in."""
    plan = of.plan
    kinds = [(name, plan.type_of(name)) for name in plan.circuits]
    lead = SIDE if any(_has_side(of, circuit) for circuit in plan.circuits.values()) else 26.0
    valve = header + lead + 26.0
    manifold = valve + 14.0 + NAMES + 12.0
    tapped = any(kind.relief or of.at(Spot.INLET, name) for name, kind in kinds)
    body = manifold + (156.0 if tapped else 34.0)
    after = body + BODY
    first = after + (156.0 if any(of.at(Spot.OUTLET, name) for name, _ in kinds) else 30.0)
    most = max((len(shut_offs(plan, name)) for name, _ in kinds), default=0)
    slot = NAMES + 40.0 + (SIDE - 20.0 if _watched(of, shut_offs) else 0.0)
    outlet = first + most * slot + (OUTLET if most else 40.0)
    drain = after + 44.0 + (SIDE if _watched(of, drains) else 0.0)
    drained = drain + 19.0 + NAMES + 6.0 if any(drains(plan, name) for name, _ in kinds) else 0.0
    return Grid(header, valve, manifold, body, after, drain, slot, outlet, max(outlet + 62.0, drained))


def _watched(of: Scene, some: Callable[[Plan, str], tuple[Valve, ...]]) -> bool:
    """Whether one of some valves of a circuit has a limit switch."""
    return any(
        of.at(Spot.THING, command(name, one)) for name in of.plan.circuits for one in some(of.plan, name)
    )


def _has_side(of: Scene, circuit: Circuit) -> bool:
    """Whether something stands left of one of its valves."""
    return any(
        row.valve.line is not None or of.at(Spot.THING, command(circuit.name, row.valve))
        for row in inlets(of.plan, circuit.name)
    )
