"""Main valves and pumps: open, or running, while a circuit needs their supply.

Rule of this file: needed from the call of a circuit on, so that the supply is there when it begins, to the
last state in which the circuit draws on it, in the scan in which the end of hand mode or of a test begins a
finish that does, while a valve of it is asked for by hand or tested, and while one is still open. It stays
for its lag. A circuit that draws on it may cool only while it has been open, or has run, for its lead. What
feeds water is cut by trips and permissives as water is. Where the plan has a condition of its own for it,
that counts, and what it feeds shuts with it.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, frozen

from steadfall.logic.build.calls import Asked
from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.guards import Guards
from steadfall.logic.build.stages import FIRST, first_finish, state_names
from steadfall.logic.forms import all_of, any_of, at_least, ms, whole
from steadfall.logic.nodes import Compare, Node, Previous, Read, Tof, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.feeders import drawing, feeder_named, feeding, is_cut, valves_of
from steadfall.plan.model import Feeder, Plan
from steadfall.roles import Role, feeder, stage


@frozen
class ByHand:
    """What a person does beside calling: moves or tests a valve (valve -> it is asked for), and the end of
    that (circuit -> its finish begins).
    """

    wanted: Mapping[str, Node]
    over: Mapping[str, Node]


def feeders(sheet: Sheet, plan: Plan, guards: Guards, asks: Asked, by_hand: ByHand) -> Guards:
    """Writes the command of every main valve and pump, and whether its supply is there; gives the guards that
    know of them.
    """
    if not plan.feeders:
        return guards
    commands = {
        one.name: _command(sheet, plan, one, guards, _due(sheet, plan, one, guards, asks, by_hand))
        for one in plan.feeders
    }
    ready = {one.name: _ready(sheet, one, commands[one.name]) for one in plan.feeders}
    supplied = {name: all_of(ready[one.name] for one in feeding(plan, name)) for name in plan.circuits}
    gates: dict[str, list[Node]] = {}
    for item in plan.feeders:
        for valve in valves_of(plan, item.supply) if item.when is not None else ():
            gates.setdefault(valve, []).append(commands[item.name])
    return evolve(guards, supplied=supplied, fed={valve: all_of(own) for valve, own in gates.items()})


def _command(sheet: Sheet, plan: Plan, item: Feeder, guards: Guards, due: Node) -> Read:
    own, mark = feeder_named(item), item.at.own
    due = sheet.named(feeder(Role.NEEDED, item.name), due, mark)
    if item.lag_ms:
        lag = Tof(due, ms(item.lag_ms, f"{item.name}.lag_time"))
        due = sheet.helper(feeder(Role.LAG, item.name), lag, mark)
    node = all_of((guards.cooling, due)) if is_cut(plan, item) else due
    return sheet.put(own, node, mark, getattr(item, "normally_open", False))


def _due(sheet: Sheet, plan: Plan, item: Feeder, guards: Guards, asks: Asked, by_hand: ByHand) -> Node:
    if item.when is not None:
        own = feeder_named(item)
        scope = Scope(plan, own.name, before=SEEN_BEFORE["feeder"], serves=own.identity)
        return build(item.when, sheet, scope)
    parts: list[Node] = []
    for circuit, last in drawing(plan, item.supply).items():
        calls = any_of(dict.fromkeys(node for nodes in asks[circuit].values() for node in nodes))
        parts.append(all_of((guards.free, calls)))
        before, kind = Previous(stage(circuit), Type.INT), plan.type_of(circuit)
        first, up_to = (whole(n, f"{kind.name}.{state_names(kind)[n]}") for n in (FIRST, last))
        parts.append(all_of((at_least(before, first), Compare("<=", before, up_to))))
        if last >= first_finish(kind) and circuit in by_hand.over:
            parts.append(by_hand.over[circuit])
    valves = tuple(valves_of(plan, item.supply))
    asked_for = any_of(by_hand.wanted[name] for name in valves if name in by_hand.wanted)
    held = [Previous(name, Type.BOOL) for name in valves]
    return any_of(dict.fromkeys((*parts, asked_for, *held)))  # circuits called alike ask once


def _ready(sheet: Sheet, item: Feeder, command: Read) -> Node:
    if not item.lead_ms:
        return command
    lead = Ton(command, ms(item.lead_ms, f"{item.name}.lead"))
    return sheet.put(feeder(Role.READY, item.name), lead, item.at.own)
