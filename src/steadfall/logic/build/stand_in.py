"""A network that is to stand in for a plan's: the program that is in the controller, with the plan's signals.

Rule of this file: every valve of the plan needs a signal that commands it, and every input a type that fits;
what the network has besides is its own affair. An input of the plan that the network never looks at is added,
unread. Of a valve that stands open without signal the output will do: it is turned round to the command.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from attrs import evolve

from steadfall.logic.build.panel.counts import counts_as_measured
from steadfall.logic.build.panel.settings import type_of
from steadfall.logic.build.recorder import BEAT
from steadfall.logic.build.whole import build
from steadfall.logic.forms import opposite, whole
from steadfall.logic.network import Assignment, Network
from steadfall.logic.nodes import Read, Type
from steadfall.plan.meaning.feeders import feeder_named
from steadfall.plan.meaning.handed import whole_type
from steadfall.plan.meaning.names import energised, valves
from steadfall.plan.model import Input, Plan, Setting
from steadfall.plan.problems import did_you_mean
from steadfall.roles import Role, of_circuit
from steadfall.source import Mark, PlanError, Problem

EXAMPLE = "upper_mist: upper.mist"


def stand_in(plan: Plan, network: Network, name: str, mapped: Collection[str] = ()) -> Network:
    """The network with the plan's inputs and outputs in their order; `name` is its text's. Raises PlanError.

    A valve must be an output, or one of the `mapped` signals: a like name within a block commands nothing.
    """
    network = counts_as_measured(plan, network)
    problems = [*_inputs(plan, network, name), *_outputs(plan, network, name, mapped)]
    if problems:
        raise PlanError(problems)
    known = {row.name: row for row in network.inputs}
    planned = build(plan)
    meant = planned.identities
    inputs = [evolve(known.get(row.name, row), identity=row.identity) for row in planned.inputs]
    inputs += [evolve(row, identity=BEAT.identity) for row in network.inputs if row.name == BEAT.name]
    known_ones = {*network.outputs, *mapped} & network.rows.keys()
    commands = _commands(plan)
    network = _with_commands(plan, network)
    outputs = (name for name in planned.outputs if name in commands or name in known_ones)
    rows = (evolve(row, identity=meant.get(row.name, row.identity)) for row in network.assignments)
    return evolve(network, inputs=tuple(inputs), assignments=tuple(rows), outputs=tuple(outputs))


def with_stages(plan: Plan, network: Network) -> Network:
    """The same with a stage for every circuit, 0 where the network has none: what a prediction shows as a
    strip.
    """
    stages = [of_circuit(Role.STAGE, circuit) for circuit in plan.circuits]
    missing = [one for one in stages if one.name not in network.types]
    rows = [Assignment(one.name, Type.INT, whole(0), 0, identity=one.identity) for one in missing]
    return evolve(network, assignments=(*network.assignments, *rows))


def _commands(plan: Plan) -> list[str]:
    """What the controller must command."""
    return [*valves(plan), *(feeder_named(one).name for one in plan.feeders)]


def _with_commands(plan: Plan, network: Network) -> Network:
    """With the command of each valve of which the network has no more than the output that shuts it."""
    rows = [
        Assignment(valve, Type.BOOL, opposite(Read(output.name, Type.BOOL)), True, mark=mark)
        for valve, (output, mark) in energised(plan).items()
        if valve not in network.types and output.name in network.rows
    ]
    return evolve(network, assignments=(*network.assignments, *rows))


def _type(item: Input) -> Type:
    return Type.BOOL if item.is_digital else Type.REAL


def _inputs(plan: Plan, network: Network, name: str) -> Iterable[Problem]:
    for row in network.inputs:
        mark = row.mark if row.mark.line else Mark(name, 1, 1)
        item = plan.inputs.get(row.name)
        if row.name == BEAT.name and row.type is Type.BOOL:
            continue  # of a bench, which no output looks at
        if row.name in plan.settings:
            yield from _setting(plan.settings[row.name], row.type, mark)
        elif item is None:
            read = f"the input '{row.name}' is no input of the plan{did_you_mean(row.name, plan.inputs)}"
            yield Problem(mark, "unmapped", "", read, "a line of the map", EXAMPLE)
        elif row.type is not _type(item):
            yield _misfit(item, row.type, mark)


def _misfit(item: Input, kind: Type, mark: Mark) -> Problem:
    whole = whole_type(item)
    if whole and kind is Type.INT:
        read = f"the counts '{item.name}' are worked with as a whole number"
        example = f"{whole}_TO_REAL({item.name})"
        return Problem(mark, "wrong-kind", "", read, "them made a REAL, or compared with a constant", example)
    read = f"'{item.name}' is a {kind.value}; the plan has a {item.kind.replace('_', ' ')}"
    return Problem(mark, "wrong-kind", "", read, f"a {whole or _type(item).value}")


def _setting(item: Setting, kind: Type, mark: Mark) -> Iterable[Problem]:
    if kind is not type_of(item):
        read = f"'{item.name}' is a {kind.value}; the plan has a setting that is a {type_of(item).value}"
        yield Problem(mark, "wrong-kind", "", read, f"a {type_of(item).value}")


def _outputs(plan: Plan, network: Network, name: str, mapped: Collection[str]) -> Iterable[Problem]:
    types = {
        row.name: row.type for row in network.assignments if row.name in network.outputs or row.name in mapped
    }
    turned = energised(plan)
    for valve in _commands(plan):
        output = turned[valve][0].name if valve in turned else valve
        if Type.BOOL not in (types.get(valve), types.get(output)):
            near = did_you_mean(valve, network.outputs)
            read = f"nothing commands {'the pump' if valve in plan.pumps else 'the valve'} '{valve}'{near}"
            yield Problem(Mark(name, 1, 1), "unmapped", "", read, "a line of the map", EXAMPLE)
