"""A plan back to text, in one settled form.

Rule of this file: read(write(plan)) == plan. Comments, order of sections and the choice of units are not
kept; what the plan means is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from steadfall.plan.keys.table import LANGUAGE
from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Call, Demand, Input, Io, Plan
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.text.lay_out import block, flow, items, scalar, time
from steadfall.plan.text.speak import speak
from steadfall.plan.write.aims import fault, goal, limit, requirement, scenario, tolerance
from steadfall.plan.write.equipment import body, circuit_type, gas_stream, link, material, supply
from steadfall.units import written


def write(plan: Plan) -> str:
    """The text of a plan."""
    lines: list[str] = []
    for section in _SECTIONS:
        lines += section(plan)
    return "\n".join(lines) + "\n"


def _head(plan: Plan) -> list[str]:
    scan = plan.scan
    times = (("nominal", scan.nominal_ms), ("longest", scan.longest_ms), ("timer_step", scan.timer_step_ms))
    return [
        f"steadfall: {LANGUAGE}",
        f"title: {scalar(plan.title)}",
        f"revised: {scalar(plan.revised)}",
        f"scan: {flow((key, time(ms)) for key, ms in times)}",
        f"ambient: {written(plan.ambient, 'temperature')}",
    ]


def _named(key: str, things: Mapping[str, Any], row: Callable[[Any], str]) -> list[str]:
    return block(key, (f"{scalar(name)}: {row(thing)}" for name, thing in things.items()))


def _listed(key: str, things: Iterable[Any], row: Callable[[Any], str]) -> list[str]:
    return block(key, (f"- {row(thing)}" for thing in things))


def _materials(plan: Plan) -> list[str]:
    own = {name: item for name, item in plan.materials.items() if BUILT_IN.get(name) != item}
    return _named("materials", own, material)


def _circuit_types(plan: Plan) -> list[str]:
    return block(
        "circuit_types", (line for kind in plan.circuit_types.values() for line in circuit_type(kind))
    )


def _circuit(circuit: Any) -> str:
    return flow(
        (("type", circuit.type), ("host", circuit.host), ("delay_doses", time(circuit.delay_doses_ms)))
    )


def _input(item: Input) -> str:
    return flow(
        (
            ("kind", item.kind),
            ("range", None if item.kind == "switch" else _range(item)),
            ("measures", item.measures),
            ("lag", written(item.lag, "time")),
            ("normal", setting(item, item.normal)),
        )
    )


def _range(item: Input) -> str:
    low, high = (written(value, item.kind, item.unit) for value in (item.low, item.high))
    return f"{low.partition(' ')[0]} .. {high}"


def setting(item: Input, value: float) -> str:
    """A value of an input."""
    return ("on" if value else "off") if item.kind == "switch" else written(value, item.kind)


def _ramp(ramp: Any) -> str:
    return flow(
        (
            ("of", ramp.of),
            ("when", scalar(speak(ramp.when))),
            ("fall", written(ramp.fall, "fall_rate")),
            ("to", written(ramp.to, "temperature")),
            ("band", written(ramp.band, "temperature_difference")),
        )
    )


def _call(call: Call | Demand) -> str:
    circuits = ("circuits", items(call.circuits))
    if isinstance(call, Call):
        return flow((("when", scalar(speak(call.when))), ("allows", call.allows), circuits))
    thresholds = flow((stage, written(value, "percent")) for stage, value in call.thresholds.items())
    hysteresis = written(call.hysteresis, "percent")
    return flow((("demand", call.of), ("thresholds", thresholds), ("hysteresis", hysteresis), circuits))


def _permissive(item: Any) -> str:
    valves = "all water" if item.all_water else items(item.valves)
    return flow((("name", scalar(item.name)), ("needs", scalar(speak(item.needs))), ("for", valves)))


def _trip(trip: Any) -> str:
    sentences = (("when", scalar(speak(trip.when))), ("reset", scalar(speak(trip.reset))))
    return flow((("name", scalar(trip.name)), *sentences))


def _limits(plan: Plan) -> list[str]:
    known = quantities(plan)
    rows = [limit(item, known[item.of].dimension) for item in plan.limits]
    return _listed("limits", [*rows, *(goal(item, known[item.of].dimension) for item in plan.goals)], str)


def _scenarios(plan: Plan) -> list[str]:
    def row(one: Any) -> str:
        return scenario(one, lambda name, value: setting(plan.inputs[name], value))

    return _named("scenarios", plan.scenarios, row)


def _io(plan: Plan) -> list[str]:
    io: Io = plan.io
    if io.list_file is not None:
        columns = flow((key, scalar(name)) for key, name in io.columns.items()) if io.columns else None
        return [f"io: {flow((('list', scalar(io.list_file)), ('columns', columns)))}"]
    words = ("terminal", "address", "modbus", "opcua")
    return _named("io", io.terminals, lambda row: flow((word, scalar(getattr(row, word))) for word in words))


_SECTIONS: tuple[Callable[[Plan], list[str]], ...] = (
    _head,
    lambda plan: _named("supplies", plan.supplies, supply),
    _materials,
    lambda plan: _named("bodies", plan.bodies, body),
    lambda plan: _named("gas_streams", plan.gas_streams, gas_stream),
    lambda plan: _listed("links", plan.links, link),
    _circuit_types,
    lambda plan: _named("circuits", plan.circuits, _circuit),
    lambda plan: _named("inputs", plan.inputs, _input),
    lambda plan: _named("ramps", plan.ramps, _ramp),
    lambda plan: _listed("calls", plan.calls, _call),
    lambda plan: _listed("permissives", plan.permissives, _permissive),
    lambda plan: _listed("trips", plan.trips, _trip),
    _limits,
    lambda plan: _listed("tolerances", plan.tolerances, tolerance),
    _scenarios,
    lambda plan: _listed("requirements", plan.requirements, requirement),
    lambda plan: _listed("faults", plan.faults, fault),
    _io,
)
