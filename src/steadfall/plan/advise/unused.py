"""Advice on what is described and never used, or said twice.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece, lumps, stages
from steadfall.plan.meaning.conditions import controller_conditions, requirement_conditions, walk
from steadfall.plan.meaning.names import resolve, signals
from steadfall.plan.meaning.switches import limit_switches
from steadfall.plan.model import ButtonCall, Demand, FinishStep, Plan, Share, Stage
from steadfall.plan.model.condition import Compare, Goes, OutOfRange, Signal
from steadfall.roles import Role
from steadfall.source import Problem


def unused(plan: Plan) -> Advice:
    """What is described and never used."""
    valves = [valve for kind in plan.circuit_types.values() for valve in kind.valves.values()]
    used_supplies = {valve.supply for valve in valves}
    used_types = {circuit.type for circuit in plan.circuits.values()}
    for supply in plan.supplies.values():
        if supply.name not in used_supplies:
            yield Problem(supply.at.own, "unused", supply.name, "no valve lets this supply in", "")
    for kind in plan.circuit_types.values():
        if kind.name not in used_types:
            yield Problem(kind.at.own, "unused", kind.name, "no circuit is of this type", "")
    ends = {name for link in plan.links for name in link.between} | {c.host for c in plan.circuits.values()}
    for body in lumps(plan):
        if body.name not in ends:
            yield Problem(
                body.at.own, "unused", body.name, "nothing takes heat from it", "a link or a circuit"
            )
    yield from _unused_ramps(plan)


def _unused_ramps(plan: Plan) -> Advice:
    named = {call.of for call in plan.calls if isinstance(call, Demand)}
    named |= {a.of for _, stage in stages(plan) for a in stage.actions.values() if isinstance(a, Share)}
    known = signals(plan)
    for stated in controller_conditions(plan):
        for part in walk(stated.condition):
            name = resolve(part.name, stated.circuit, known) if isinstance(part, Compare) else None
            if name and known[name].role in (Role.RAMP, Role.SET_POINT):
                named.add(known[name].identity.of)
    for ramp in plan.ramps.values():
        if ramp.name not in named:
            yield Problem(
                ramp.at.own, "unused", ramp.name, "nothing follows this ramp", "a call, or a share of a stage"
            )


def valve_never_opened(plan: Plan) -> Advice:
    """A valve that no stage and no finish step opens."""
    for kind in plan.circuit_types.values():
        steps: list[Stage | FinishStep] = [*kind.stages, *kind.finish]
        opened = {name for step in steps for name in step.actions}
        for valve in kind.valves.values():
            if valve.name not in opened and valve.rest != "open":
                read = "no stage and no step of the finish opens this valve"
                yield Problem(valve.at.own, "unused", valve.name, read, "a stage that names it")


def unused_inputs(plan: Plan) -> Advice:
    """An input that nothing looks at."""
    known = signals(plan)
    named = {call.of for call in plan.calls if isinstance(call, Demand)}
    named |= {ramp.of for ramp in plan.ramps.values()}
    for call in plan.calls:
        named |= {call.start, call.stop} if isinstance(call, ButtonCall) else set()
    named |= set(plan.hand.valves.values()) if plan.hand else set()
    named |= {plan.test.start} if plan.test else set()
    named |= {one.button for one in plan.steps_on}
    for circuit in plan.circuits.values():
        kind = plan.type_of(circuit.name)
        local = [a.of for stage in kind.stages for a in stage.actions.values() if isinstance(a, Share)]
        named |= {resolve(name, circuit.name, known) or "" for name in local}
    for one in limit_switches(plan):
        named.add(resolve(one.feedback.input, one.circuit or None, known) or "")
    for stated in (*controller_conditions(plan), *requirement_conditions(plan)):
        for part in walk(stated.condition):
            if isinstance(part, Signal | Compare | Goes | OutOfRange):
                named.add(resolve(part.name, stated.circuit, known) or "")
    for item in plan.inputs.values():
        if item.name not in named:
            read = "nothing in the plan looks at this input"
            yield Problem(item.at.own, "unused", item.name, read, "a condition that names it, or no input")


PIECES: tuple[Piece, ...] = (unused, valve_never_opened, unused_inputs)
