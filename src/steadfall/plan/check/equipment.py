"""Judges what stands in the works: names, links, supplies, channels, valves at rest.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadfall.constants import WATER, G
from steadfall.plan.meaning.names import MADE_OF_CIRCUIT
from steadfall.plan.model import Circuit, CircuitType, Plan
from steadfall.plan.model.equipment import Body, GasStream, Path, Supply
from steadfall.plan.problems import Problems
from steadfall.quantities import Owner, each_of
from steadfall.units import shown

# Beyond these a channel is a slip of the pen (common practice: platen and jacket walls are 0.05 to 1 bore).
THICKEST_WALL = 3.0  # bores
SHORTEST_CHANNEL = 10.0  # bores
ROUGHEST = 0.1  # bores


def names_differ(plan: Plan, problems: Problems) -> None:
    """What the plant is made of shares one list of names; no two differ by capitals only."""
    seen: dict[str, tuple[str, str]] = {}
    groups: dict[str, Mapping[str, Body | GasStream | Circuit | Supply]] = {
        "body": plan.bodies,
        "gas stream": plan.gas_streams,
        "circuit": plan.circuits,
        "supply": plan.supplies,
    }
    for what, things in groups.items():
        for name, thing in things.items():
            other = seen.get(name.lower())
            if other:
                read = f"there is a {other[0]} '{other[1]}' already"
                expected = "names that differ by more than capitals"
                problems.add(thing.at.own, "same-name", name, read, expected)
            seen[name.lower()] = (what, name)


def links_join_two(plan: Plan, problems: Problems) -> None:
    """A link joins two different things that exist, once."""
    known = [*plan.bodies, *plan.gas_streams, "ambient"]
    seen: set[frozenset[str]] = set()
    for link in plan.links:
        for i, name in enumerate(link.between):
            if name not in known:
                place = link.at.of(f"between.{i}")
                problems.unknown(place, "between", name, "body or gas stream", known)
        first, second = link.between
        pair = frozenset(link.between)
        if first and first == second:
            read = f"'{first}' is linked to itself"
            problems.add(link.at.of("between"), "linked-to-itself", "between", read, "two different names")
        elif first and second and pair in seen:
            read = f"'{first}' and '{second}' are linked already"
            problems.add(
                link.at.of("between"), "linked-twice", "between", read, "one link with the sum of both"
            )
        seen.add(pair)


def circuits_stand_somewhere(plan: Plan, problems: Problems) -> None:
    """Every circuit has a type and a host."""
    hosts = [*plan.bodies, *plan.gas_streams]
    for circuit in plan.circuits.values():
        if circuit.type not in plan.circuit_types:
            problems.unknown(circuit.at.of("type"), "type", circuit.type, "circuit type", plan.circuit_types)
        if circuit.host not in hosts:
            problems.unknown(circuit.at.of("host"), "host", circuit.host, "body or gas stream", hosts)


def channels_are_channels(plan: Plan, problems: Problems) -> None:
    """The measures of a channel fit each other."""
    for kind in plan.circuit_types.values():
        _channel(kind.path, problems)


def _channel(path: Path, problems: Problems) -> None:
    bore = shown(path.bore, "length")
    slips = (
        (
            "wall",
            path.wall > THICKEST_WALL * path.bore,
            f"at most {THICKEST_WALL:g} bores; check mm against m",
        ),
        ("length", path.length < SHORTEST_CHANNEL * path.bore, f"at least {SHORTEST_CHANNEL:g} bores"),
        ("roughness", path.roughness > ROUGHEST * path.bore, f"at most {ROUGHEST:g} bores"),
    )
    for key, wrong, expected in slips:
        if wrong:
            read = f"{shown(getattr(path, key), 'length')} does not fit a bore of {bore}"
            problems.add(path.at.of(key), "channel", key, read, expected)


def valves_have_supplies(plan: Plan, problems: Problems) -> None:
    """Every valve lets in a supply that exists, and a circuit has water."""
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            if valve.supply is not None and valve.supply not in plan.supplies:
                problems.unknown(valve.at.of("supply"), "supply", valve.supply, "supply", plan.supplies)
        supplies = [valve.supply for valve in kind.valves.values()]
        known = all(
            name is None or (name in plan.supplies and plan.supplies[name].fluid) for name in supplies
        )
        if supplies and known and not water_valves(plan, kind):
            read = "no valve of this circuit type lets water in"
            problems.add(kind.at.own, "no-water", kind.name, read, "a valve whose supply is water")


def water_valves(plan: Plan, kind: CircuitType) -> list[str]:
    """The valves of a circuit type that let water in."""
    fluids = {supply.name: supply.fluid for supply in plan.supplies.values()}
    return [
        valve.name for valve in kind.valves.values() if valve.supply and fluids.get(valve.supply) == "water"
    ]


def rest_does_not_flood(plan: Plan, problems: Problems) -> None:
    """No valve lets water in while the circuit is idle."""
    for kind in plan.circuit_types.values():
        for name in water_valves(plan, kind):
            valve = kind.valves[name]
            if valve.rest == "open":
                read = f"'{name}' would let water into the idle circuit"
                problems.add(valve.at.of("rest"), "rest-floods", "rest", read, "shut")


def pressures_fit(plan: Plan, problems: Problems) -> None:
    """Water can get in, and the relief valve opens in time."""
    for kind in plan.circuit_types.values():
        relief = kind.relief
        if relief and relief.opens_at > kind.rated:
            read = f"the relief valve opens above the rated {shown(kind.rated, 'pressure')}"
            problems.add(
                relief.at.of("opens_at"), "relief-too-late", "opens_at", read, "at most the rated pressure"
            )
        if relief and relief.opens_at <= kind.outlet.pressure:
            read = (
                f"the relief valve would stand open at the outlet's {shown(kind.outlet.pressure, 'pressure')}"
            )
            problems.add(relief.at.of("opens_at"), "relief-too-early", "opens_at", read, "a higher pressure")
        for name in water_valves(plan, kind):
            valve = kind.valves[name]
            supply = plan.supplies[valve.supply or ""]
            rise = sum(line.elevation for line in (supply.line, valve.line) if line is not None)
            lifted = supply.pressure - WATER * G * rise
            if supply.pressure <= kind.outlet.pressure:
                read = f"'{supply.name}' has no more pressure than the outlet, so no water would flow"
                expected = f"more than {shown(kind.outlet.pressure, 'pressure')}"
                problems.add(valve.at.of("supply"), "no-head", "supply", read, expected)
            elif lifted <= kind.outlet.pressure:
                line = valve.line if valve.line is not None and valve.line.elevation > 0.0 else supply.line
                place = line.at.of("elevation") if line is not None else valve.at.own
                read = (
                    f"the lines of '{name}' rise {shown(rise, 'length')}, higher than its supply lifts water"
                )
                expected = (
                    "less than "
                    f"{shown((supply.pressure - kind.outlet.pressure) / WATER / G, 'length')} in all"
                )
                problems.add(place, "no-head", "elevation", read, expected)


def valves_have_own_names(plan: Plan, problems: Problems) -> None:
    """`circuit.valve` is the valve's command and nothing else."""
    taken = {*(role.value for role in MADE_OF_CIRCUIT), *(one.end for one in each_of(Owner.CIRCUIT))}
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            if valve.name.lower() in taken:
                read = f"every circuit has a '{valve.name}' already"
                problems.add(valve.at.own, "same-name", valve.name, read, "another name", example="mist")


def bodies_hold_no_gas(plan: Plan, problems: Problems) -> None:
    """Only the casing of a gas stream has gas inside."""
    for body in plan.bodies.values():
        if body.shell is not None and body.shell.inside is not None:
            place = body.shell.at.of("key inside")
            problems.add(place, "unused-key", "inside", "a body has no gas inside", "no `inside`")


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    names_differ,
    circuits_stand_somewhere,
    valves_have_supplies,
    valves_have_own_names,
    rest_does_not_flood,
)
OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (
    links_join_two,
    channels_are_channels,
    pressures_fit,
    bodies_hold_no_gas,
)
