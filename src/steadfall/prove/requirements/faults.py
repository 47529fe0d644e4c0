"""Faults as inputs: what may go wrong outside the controller, and what a proof says of it.

Every input is free in a proof, so a limit switch that sticks, a sensor at either end of its range and a call
that bounces are in it already. Naming such a fault asks a narrower question: what holds, and what can still
be reached, while it lasts for ever. A power cut is more than an input: at any moment the controller loses
what it remembers and begins with its first scan; what watches it goes on counting.

Rule of this file: a fault changes the network, or the steps that there are.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import attrs
from attrs import frozen

from steadfall.logic.build.readings import as_handed
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Constant, Node, Not, Previous, Type
from steadfall.plan.check.faults import fault_fits
from steadfall.plan.keys.sections.aims import FAULT, FAULTS, POWER_CUT
from steadfall.plan.model import Fault, Plan
from steadfall.plan.problems import Problems
from steadfall.source import NOWHERE, PlanError

PHRASES = (POWER_CUT, *(f"NAME {word}" for word in FAULTS))


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
    return Assignment(row.name, row.type, node, initial, mark=row.mark, identity=row.identity)


def possible(plan: Plan) -> tuple[str, ...]:
    """Every fault that can be named for a plan, a power cut first."""
    found = [POWER_CUT]
    for item in plan.inputs.values():
        kind = "switch" if item.is_digital else "measured"
        found += [f"{item.name} {what}" for what, wanted in FAULTS.items() if wanted == kind and item.kind]
    return tuple(found)


def read_faults(plan: Plan, phrases: Sequence[str]) -> Faults:
    """The faults that some phrases name; raises PlanError with all that is wrong with them."""
    problems, found = Problems(), []
    for phrase in phrases:
        match = re.fullmatch(FAULT, phrase)
        if match is None:
            expected = "one of: " + "; ".join(PHRASES)
            problems.add(
                NOWHERE, "unknown-fault", "--faults", f"'{phrase}'", expected, example=_example(plan)
            )
            continue
        fault = Fault(match["what"] or POWER_CUT, match["signal"] or "")
        fault_fits(plan, fault, NOWHERE, problems)
        found.append(fault)
    if problems:
        raise PlanError(problems.found())
    return together(plan, found)


def together(plan: Plan, faults: Iterable[Fault]) -> Faults:
    """Some faults at once."""
    rows = tuple(faults)
    fixed = {row.signal: _node(plan, row) for row in rows if row.signal}
    cut = any(row.what == POWER_CUT for row in rows)
    return Faults(tuple(row.phrase for row in rows), cut, tuple(fixed.items()))


def _node(plan: Plan, fault: Fault) -> Node:
    """What the controller sees instead of an input."""
    item = plan.inputs[fault.signal]
    if fault.what == "bounces":
        return Not(Previous(item.name, Type.BOOL))
    if item.is_digital:
        return Constant(fault.what == "stuck on", Type.BOOL)
    end = item.low if fault.what == "at its lower end" else item.high
    return Constant(float(as_handed(item, end)), Type.REAL)


def _example(plan: Plan) -> str:
    return next((f"{name} stuck off" for name, item in plan.inputs.items() if item.is_digital), POWER_CUT)
