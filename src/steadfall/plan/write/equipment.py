"""What stands in the works, back to text.

Rule of this file: see `plan.write.whole`.
"""

from __future__ import annotations

from steadfall.plan.model import (
    Action,
    Body,
    CircuitType,
    Dose,
    FinishStep,
    GasStream,
    Heating,
    Inner,
    Line,
    Link,
    Material,
    Path,
    Share,
    Shell,
    Stage,
    Supply,
    Valve,
)
from steadfall.plan.model.condition import Condition
from steadfall.plan.model.equipment import Bank
from steadfall.plan.text.lay_out import block, flow, items, scalar, time
from steadfall.plan.text.speak import speak
from steadfall.units import written

FIN_MEASURES = ("pitch", "height", "thickness")


def supply(item: Supply) -> str:
    """A supply."""
    pressure, temperature = written(item.pressure, "pressure"), written(item.temperature, "temperature")
    line = ("line", _line(item.line))
    kv = ("kv", _maybe(item.kv, "kv"))
    return flow((("fluid", item.fluid), ("pressure", pressure), ("temperature", temperature), line, kv))


def _maybe(value: float | None, dimension: str) -> str | None:
    return None if value is None else written(value, dimension)


def _line(line: Line | None) -> str | None:
    if line is None:
        return None
    return flow(
        (
            *((key, written(getattr(line, key), "length")) for key in ("length", "bore", "wall")),
            ("material", scalar(line.material)),
            ("rated", written(line.rated, "pressure")),
            ("elevation", written(line.elevation, "length")),
        )
    )


def material(item: Material) -> str:
    """A solid of the plan's own."""
    return flow(
        (
            ("density", written(item.density, "density")),
            ("heat_capacity", written(item.heat_capacity, "heat_capacity")),
            ("conductivity", written(item.conductivity, "conductivity")),
            ("expansion", written(item.expansion, "expansion")),
            ("youngs_modulus", written(item.youngs_modulus, "stress")),
            ("poisson", written(item.poisson, "percent").partition(" ")[0]),
            ("allowable", _maybe(item.allowable, "stress")),
        )
    )


def body(item: Body) -> str:
    """A body."""
    return flow(
        (
            ("mass", written(item.mass, "mass")),
            ("heat_capacity", written(item.heat_capacity, "heat_capacity")),
            ("start", written(item.start, "temperature")),
            ("inner", None if item.inner is None else _inner(item.inner)),
            ("heating", _heating(item.heating)),
            ("shell", _shell(item.shell)),
        )
    )


def _heating(item: Heating | None) -> str | None:
    if item is None:
        return None
    ends = (("until", _maybe(item.until, "time")), ("time_constant", _maybe(item.time_constant, "time")))
    return flow((("power", written(item.power, "power")), *ends))


def _shell(item: Shell | None) -> str | None:
    if item is None:
        return None
    layer = item.insulation
    insulation = (
        None
        if layer is None
        else (
            flow(
                (
                    ("thickness", written(layer.thickness, "length")),
                    ("conductivity", written(layer.conductivity, "conductivity")),
                )
            )
        )
    )
    return flow(
        (
            ("area", written(item.area, "area")),
            ("length", written(item.length, "length")),
            ("face", item.face),
            ("emissivity", written(item.emissivity, "percent").partition(" ")[0]),
            ("insulation", insulation),
            ("inside", _maybe(item.inside, "film_coefficient")),
        )
    )


def _inner(inner: Inner) -> str:
    return flow(
        (
            ("shape", inner.shape),
            ("half_thickness" if inner.shape == "slab" else "radius", written(inner.size, "length")),
            ("conductivity", written(inner.conductivity, "conductivity")),
            ("shells", str(inner.shells)),
            ("density", None if inner.density is None else written(inner.density, "density")),
        )
    )


def gas_stream(item: GasStream) -> str:
    """A gas stream."""
    return flow(
        (
            ("gas", item.gas),
            ("pressure", written(item.pressure, "pressure")),
            ("volume", written(item.volume, "volume")),
            ("fan_flow", written(item.fan_flow, "volume_flow")),
            ("start", written(item.start, "temperature")),
            ("heating", _heating(item.heating)),
            ("shell", _shell(item.shell)),
            ("leak", _maybe(item.leak, "volume_flow")),
        )
    )


def link(item: Link) -> str:
    """A link."""
    return flow((("between", items(item.between)), ("conductance", written(item.conductance, "conductance"))))


def circuit_type(kind: CircuitType) -> list[str]:
    """A circuit type, over several lines."""
    outlet = (("kv", written(kind.outlet.kv, "kv")), ("to", written(kind.outlet.pressure, "pressure")))
    down = "at once" if kind.step_down_ms == 0 else f"after {time(kind.step_down_ms)}"
    lines = [f"path: {_path(kind.path)}", f"outlet: {flow(outlet)}"]
    if kind.relief:
        relief = (
            ("opens_at", written(kind.relief.opens_at, "pressure")),
            ("kv", written(kind.relief.kv, "kv")),
        )
        lines.append(f"relief: {flow(relief)}")
    lines += [
        f"rated: {written(kind.rated, 'pressure')}",
        f"step_down: {down}",
        f"cold_start: {kind.cold_start}",
    ]
    lines += block("valves", (f"{name}: {_valve(valve)}" for name, valve in kind.valves.items()))
    spare = next(iter(kind.valves), "")
    lines += block("stages", (f"- {_stage(stage, spare)}" for stage in kind.stages))
    lines += block("finish", (f"- {_finish(step)}" for step in kind.finish))
    return block(kind.name, lines)


def _path(path: Path) -> str:
    return flow(
        (
            ("bore", written(path.bore, "length")),
            ("length", written(path.length, "length")),
            ("passes", str(path.passes)),
            ("wall", written(path.wall, "length")),
            ("material", scalar(path.material)),
            *_host(path),
            ("bends", str(path.bends)),
            ("roughness", written(path.roughness, "length")),
            ("allowable", _maybe(path.allowable, "stress")),
        )
    )


def _host(path: Path) -> list[tuple[str, str | None]]:
    """The conductance to the host as the plan gives it: a number, holes, a jacket or a tube bank."""
    if path.drilled is not None:
        measures = [(key, written(getattr(path.drilled, key), "length")) for key in ("spacing", "depth")]
        return [("drilled", flow(measures))]
    if path.jacket is not None:
        jacket = path.jacket
        radius = [] if jacket.radius is None else [("radius", written(jacket.radius, "length"))]
        area, thickness = written(jacket.area, "area"), written(jacket.thickness, "length")
        return [("jacket", flow((("area", area), ("thickness", thickness), *radius)))]
    if path.bank is not None:
        return [("bank", _bank(path.bank))]
    return [("host_conductance", written(path.host_conductance or 0.0, "conductance"))]


def _bank(bank: Bank) -> str:
    fins = bank.fins
    measures = [] if fins is None else [(key, written(getattr(fins, key), "length")) for key in FIN_MEASURES]
    metal = [] if fins is None else [("conductivity", written(fins.conductivity, "conductivity"))]
    return flow(
        (
            ("rows", str(bank.rows)),
            ("across", str(bank.across)),
            ("pitch_across", written(bank.pitch_across, "length")),
            ("pitch_along", written(bank.pitch_along, "length")),
            ("arrangement", bank.arrangement),
            ("fins", flow(measures + metal) if fins else None),
        )
    )


def _valve(valve: Valve) -> str:
    feedback = valve.feedback
    switch = (
        None if feedback is None else flow((("input", feedback.input), ("within", time(feedback.within_ms))))
    )
    return flow(
        (
            ("supply", valve.supply) if valve.supply is not None else ("opens", "outlet_bypass"),
            ("kv", written(valve.kv, "kv")),
            ("travel", written(valve.travel, "time")),
            ("shortest_open", time(valve.shortest_open_ms)),
            ("shortest_shut", time(valve.shortest_shut_ms)),
            ("rest", valve.rest),
            ("life", None if valve.life is None else str(valve.life)),
            ("feedback", switch),
            ("line", _line(valve.line)),
        )
    )


def _action(action: Action) -> str:
    if isinstance(action, Dose):
        return flow((("open", time(action.open_ms)), ("shut", time(action.shut_ms)), ("clock", action.clock)))
    if isinstance(action, Share):
        return flow((("share_of", action.of), ("cycle", time(action.cycle_ms))))
    return "open"


def _stage(stage: Stage, spare: str) -> str:
    """A stage in which every valve is shut names one of them, to show that it is meant."""
    actions = [(name, _action(action)) for name, action in stage.actions.items()] or [(spare, "shut")]
    return flow((("name", stage.name), *actions, ("climb", _climb(stage.climb))))


def _climb(climb: Condition | None) -> str | None:
    return None if climb is None else scalar(speak(climb))


def _finish(step: FinishStep) -> str:
    return flow((("name", step.name), *((name, "open") for name in step.actions), ("for", time(step.for_ms))))
