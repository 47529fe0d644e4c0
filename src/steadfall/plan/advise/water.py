"""Advice on water, and on the air that carries it and clears it away.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece, air_valves, lumps, stages
from steadfall.plan.check.equipment import water_valves
from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.model import Dose, Open, Plan, Share
from steadfall.source import Problem
from steadfall.units import shown


def carrier_air_blocks_water(plan: Plan) -> Advice:
    """Air at more pressure than the water holds the water's check valve shut while both are open."""
    for kind, stage in stages(plan):
        for air in set(stage.actions) & set(air_valves(plan, kind)):
            for water in sorted(set(stage.actions) & set(water_valves(plan, kind))):
                blows, wets = (plan.supplies[kind.valves[name].supply or ""] for name in (air, water))
                if blows.pressure >= wets.pressure:
                    read = (
                        f"carrier air at {shown(blows.pressure, 'pressure')} may block water at "
                        f"{shown(wets.pressure, 'pressure')} while '{air}' and '{water}' are both open"
                    )
                    expected = "less air pressure than water pressure"
                    yield Problem(stage.at.of(f"key {water}"), "air-blocks-water", stage.name, read, expected)


def dose_without_air(plan: Plan) -> Advice:
    """A dose that no air carries lies in the first bends and boils there."""
    for kind, stage in stages(plan):
        dosed = [name for name, action in stage.actions.items() if isinstance(action, Dose | Share)]
        if dosed and not set(stage.actions) & set(air_valves(plan, kind)):
            read = f"'{dosed[0]}' doses water that no air carries through the circuit"
            yield Problem(
                stage.at.of(f"key {dosed[0]}"), "dose-without-air", stage.name, read, "an open air valve"
            )


def water_stays(plan: Plan) -> Advice:
    """Water that stays in a hot circuit boils off for minutes."""
    for kind in plan.circuit_types.values():
        air = air_valves(plan, kind)
        opened = {name for step in kind.finish for name in step.actions}
        drained = [
            v.name
            for v in kind.valves.values()
            if v.supply is None and not v.closes_outlet and (v.name in opened or v.rest == "open")
        ]
        if not opened & set(air) and not drained:
            read = "the finish neither blows out nor drains, so water stays in the hot circuit"
            yield Problem(
                kind.at.of("finish"), "water-stays", kind.name, read, "a step that opens air or a drain"
            )


def idle_after_power_cut(plan: Plan) -> Advice:
    """After a power cut the circuit may be hot and hold water."""
    for kind in plan.circuit_types.values():
        if kind.cold_start == "idle":
            read = "after a power cut the circuit may be hot and hold water, and nothing empties it"
            yield Problem(kind.at.of("cold_start"), "cold-start", kind.name, read, "finish")


def full_stream_on_hot_metal(plan: Plan) -> Advice:
    """Full water as the first thing on metal above boiling: steam hammers, and the wall is shocked."""
    starts = {body.name: body.start for body in lumps(plan)}
    told = set()
    for circuit in plan.circuits.values():
        kind = plan.type_of(circuit.name)
        boiling = boils_at(kind.outlet.pressure)
        hot = starts.get(circuit.host, 0.0) > boiling
        for name in sorted(set(kind.stages[0].actions) & set(water_valves(plan, kind))) if hot else ():
            if isinstance(kind.stages[0].actions[name], Open) and (kind.name, name) not in told:
                told.add((kind.name, name))
                read = (
                    f"'{circuit.host}' starts at {shown(starts[circuit.host], 'temperature')}, water boils at"
                )
                read += f" {shown(boiling, 'temperature')}, and the first stage lets '{name}' run full"
                mark = kind.stages[0].at.of(f"key {name}")
                yield Problem(mark, "full-on-hot", kind.stages[0].name, read, "a stage of doses before it")


PIECES: tuple[Piece, ...] = (dose_without_air, water_stays, idle_after_power_cut)
OF_PLANT: tuple[Piece, ...] = (carrier_air_blocks_water, full_stream_on_hot_metal)
