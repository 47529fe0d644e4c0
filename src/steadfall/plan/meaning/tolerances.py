"""The numbers of a plan that may be off, by name, and the plan with one of them off.

Rule of this file: one table of what may move. `check` judges names by it, `predict` moves the plan by it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from attrs import evolve, frozen

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Body, CircuitType, GasStream, Link, Plan, Valve

PERCENT, KELVIN = "percent", "temperature_difference"

Move = Callable[[float], Plan]  # by so much, as a fraction or in K


@frozen
class Knob:
    """A number that may be off: by a percentage or by kelvins, and how the plan looks when it is."""

    kind: str
    move: Move


def knobs(plan: Plan) -> dict[str, Knob]:
    """Every number of the plan that a tolerance may name."""
    found = {"ambient": Knob(KELVIN, lambda by: evolve(plan, ambient=plan.ambient + by))}
    for part in (_supplies, _bodies, _streams, _links, _types):
        found.update(part(plan))
    return found


def _scaled(plan: Plan, section: str, name: str, key: str) -> Knob:
    def move(by: float) -> Plan:
        return _with(plan, section, name, {key: getattr(getattr(plan, section)[name], key) * (1 + by)})

    return Knob(PERCENT, move)


def _shifted(plan: Plan, section: str, name: str, key: str) -> Knob:
    def move(by: float) -> Plan:
        return _with(plan, section, name, {key: getattr(getattr(plan, section)[name], key) + by})

    return Knob(KELVIN, move)


def _with(plan: Plan, section: str, name: str, change: Mapping[str, Any]) -> Plan:
    things = getattr(plan, section)
    changed: dict[str, Any] = {section: {**things, name: evolve(things[name], **change)}}
    return evolve(plan, **changed)


def _supplies(plan: Plan) -> Iterator[tuple[str, Knob]]:
    for name, supply in plan.supplies.items():
        gauge = supply.pressure - ATMOSPHERE if supply.pressure > ATMOSPHERE else supply.pressure

        def move(
            by: float, name: str = name, gauge: float = gauge, pressure: float = supply.pressure
        ) -> Plan:
            return _with(plan, "supplies", name, {"pressure": pressure + gauge * by})

        yield f"{name}.pressure", Knob(PERCENT, move)
        yield f"{name}.temperature", _shifted(plan, "supplies", name, "temperature")
        if supply.kv is not None:
            yield f"{name}.kv", _scaled(plan, "supplies", name, "kv")


def _bodies(plan: Plan) -> Iterator[tuple[str, Knob]]:
    for name, body in plan.bodies.items():
        yield f"{name}.start", _shifted(plan, "bodies", name, "start")
        yield f"{name}.mass", _scaled(plan, "bodies", name, "mass")
        yield f"{name}.heat_capacity", _scaled(plan, "bodies", name, "heat_capacity")
        yield from _around(plan, "bodies", name, body)


def _streams(plan: Plan) -> Iterator[tuple[str, Knob]]:
    for name, stream in plan.gas_streams.items():
        yield f"{name}.start", _shifted(plan, "gas_streams", name, "start")
        yield f"{name}.fan_flow", _scaled(plan, "gas_streams", name, "fan_flow")
        yield from _around(plan, "gas_streams", name, stream)
        if stream.leak is not None:
            yield f"{name}.leak", _scaled(plan, "gas_streams", name, "leak")


def _around(plan: Plan, section: str, name: str, thing: Body | GasStream) -> Iterator[tuple[str, Knob]]:
    """Heating that stays on, and the surface that loses heat."""
    for part, key, called in (("heating", "power", "heating"), ("shell", "area", "shell.area")):
        old = getattr(thing, part)
        if old is not None:

            def move(by: float, part: str = part, key: str = key, old: Any = old) -> Plan:
                return _with(plan, section, name, {part: evolve(old, **{key: getattr(old, key) * (1 + by)})})

            yield f"{name}.{called}", Knob(PERCENT, move)


def _links(plan: Plan) -> Iterator[tuple[str, Knob]]:
    for i, link in enumerate(plan.links):

        def move(by: float, i: int = i, link: Link = link) -> Plan:
            changed = evolve(link, conductance=link.conductance * (1 + by))
            return evolve(plan, links=(*plan.links[:i], changed, *plan.links[i + 1 :]))

        yield f"{link.between[0]}.{link.between[1]}.conductance", Knob(PERCENT, move)


def _types(plan: Plan) -> Iterator[tuple[str, Knob]]:
    for name, kind in plan.circuit_types.items():
        number = "host_factor" if kind.path.host_conductance is None else "host_conductance"
        yield f"{name}.host_conductance", Knob(PERCENT, _part(plan, kind, "path", number))
        yield f"{name}.outlet.kv", Knob(PERCENT, _part(plan, kind, "outlet", "kv"))
        for valve in kind.valves.values():
            for key in ("kv", "travel"):
                yield f"{name}.{valve.name}.{key}", Knob(PERCENT, _valve(plan, kind, valve, key))


def _part(plan: Plan, kind: CircuitType, part: str, key: str) -> Move:
    def move(by: float) -> Plan:
        thing = getattr(kind, part)
        return _with(
            plan, "circuit_types", kind.name, {part: evolve(thing, **{key: getattr(thing, key) * (1 + by)})}
        )

    return move


def _valve(plan: Plan, kind: CircuitType, valve: Valve, key: str) -> Move:
    def move(by: float) -> Plan:
        changed = evolve(valve, **{key: getattr(valve, key) * (1 + by)})
        return _with(plan, "circuit_types", kind.name, {"valves": {**kind.valves, valve.name: changed}})

    return move
