"""Faults as inputs: what may go wrong outside the controller, and what a proof says of it.

Every input is free in a proof, so a limit switch that sticks, a sensor at either end of its range and a call that
bounces are in it already. Naming such a fault asks a narrower question: what holds, and what can still be reached,
while it lasts for ever. A power cut is more than an input: at any moment the controller loses what it remembers and
begins with its first scan; what watches it goes on counting.

Rule of this file: a fault is a phrase of a table; it changes the network, or the steps that there are.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import attrs
from attrs import frozen

from steadfall.logic.conditions import in_unit
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Constant, Node, Not, Previous, Type
from steadfall.plan.model import Plan
from steadfall.source import NOWHERE, PlanError, Problem

POWER_CUT = "power cut"
PHRASES = (
    POWER_CUT,
    "NAME stuck on",
    "NAME stuck off",
    "NAME at its lower end",
    "NAME at its upper end",
    "NAME bounces",
)
_PHRASE = re.compile(r"(?P<name>\S+) (?P<what>stuck on|stuck off|at its lower end|at its upper end|bounces)")
_SWITCH = {"stuck on": True, "stuck off": False}


@frozen
class Faults:
    """What goes wrong, as phrases, and what it means."""

    phrases: tuple[str, ...] = ()
    power_cut: bool = False
    fixed: tuple[tuple[str, Node], ...] = ()  # inputs that are given a value instead

    def network(self, network: Network) -> Network:
        """The network with the faulty inputs."""
        given = dict(self.fixed)
        if not given:
            return network
        inputs = tuple(row for row in network.inputs if row.name not in given)
        rows = [_row(row, given[row.name]) for row in network.inputs if row.name in given]
        return attrs.evolve(network, inputs=inputs, assignments=(*rows, *network.assignments))


def _row(row: Input, node: Node) -> Assignment:
    initial = {Type.BOOL: False, Type.REAL: 0.0}[row.type]
    return Assignment(row.name, row.type, node, initial, mark=row.mark)


def read_faults(plan: Plan, phrases: Sequence[str]) -> Faults:
    """The faults that some phrases name; raises PlanError with all that is wrong with them."""
    problems: list[Problem] = []
    fixed: dict[str, Node] = {}
    for phrase in phrases:
        if phrase == POWER_CUT:
            continue
        found = _PHRASE.fullmatch(phrase)
        node = _node(plan, found["name"], found["what"]) if found else None
        if found is None or node is None:
            expected = "one of: " + "; ".join(PHRASES)
            problems.append(Problem(NOWHERE, "unknown-fault", "faults", f"'{phrase}'", expected, _example(plan)))
        else:
            fixed[found["name"]] = node
    if problems:
        raise PlanError(problems)
    return Faults(tuple(phrases), POWER_CUT in phrases, tuple(fixed.items()))


def _node(plan: Plan, name: str, what: str) -> Node | None:
    item = plan.inputs.get(name)
    if item is None:
        return None
    if item.kind == "switch":
        if what == "bounces":
            return Not(Previous(name, Type.BOOL))
        return Constant(_SWITCH[what], Type.BOOL) if what in _SWITCH else None
    ends = {"at its lower end": item.low, "at its upper end": item.high}
    return Constant(float(in_unit(item, ends[what])), Type.REAL) if what in ends else None


def _example(plan: Plan) -> str:
    return next((f"{name} stuck off" for name, item in plan.inputs.items() if item.kind == "switch"), POWER_CUT)
